"""Templates and JSON, with everything escaped for its format, once."""

from __future__ import annotations

import html as plain_html
import json
import re
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader
from markupsafe import Markup
from pydantic_core import to_json

from assistant.report.lines import printable
from assistant.ruleset.grammar import upper


def page(name: str, form: str, **data: Any) -> str:
    """A page from its template. form: "html" or "md"; ValueError for another."""
    if form not in ("html", "md"):
        raise ValueError(f"unknown form {form!r}")
    return environment(html=form == "html").get_template(f"{name}.{form}.j2").render(**data)


@cache
def environment(html: bool) -> Environment:
    """A Jinja2 environment that escapes for HTML (and SVG) or for Markdown."""
    made = Environment(
        loader=PackageLoader("assistant.report"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printable if html else _markdown,
    )
    made.filters["upperfirst"] = upper
    made.filters["beside"] = lambda text: Markup(
        re.sub(
            r" (\([^)]*\))", r'<span class="tap"> \1</span>', plain_html.escape(_printable(text))
        )
    )
    made.filters["n"] = lambda value: f"{value:.1f}".removesuffix(".0")
    made.filters["escaped"] = lambda text: Markup(plain_html.escape(_printable(text)))
    return made


def css_string(text: str) -> Markup:
    """Text as a string of CSS; all but letters and figures as its number, so nothing ends it."""
    safe = (c if c.isalnum() else f"\\{ord(c):x} " for c in printable(text))
    return Markup(f'"{"".join(safe)}"')


def json_text(data: Any, indent: int | None = None) -> str:
    """JSON in plain letters, but nothing in it that a terminal could take for a command."""
    try:
        text = to_json(data, indent=indent).decode()
    except ValueError:  # half a letter, as a broken file may hold; json writes it all the same
        text = json.dumps(data, indent=indent, ensure_ascii=False)
    if text.isprintable():
        return text
    return re.sub("[\x7f-\x9f\u2028\u2029]", lambda c: f"\\u{ord(c[0]):04x}", text)


def _printable(value: Any) -> Any:
    """Text without control characters; what is made of a template already is left alone."""
    return value if not isinstance(value, str) or isinstance(value, Markup) else printable(value)


def _markdown(value: Any) -> Any:
    """Text that cannot turn into Markdown or HTML of its own."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    text = re.sub(r"([\\`*_\[\]{}#|~])", r"\\\1", printable(value))
    return Markup(text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;"))

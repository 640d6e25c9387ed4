"""Whether words tell of something that is so: not denied, not fine, not mended long ago, not asked.

All the words for it are the ruleset's (`telling:` in words.yaml).
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.reading.clauses import Clauses, Span
from assistant.reading.word_patterns import Match

_REACH = 7
"""How many words a "no" reaches forward. Ours, assumed."""
_ASKED_WITHIN = 2
"""A question may begin after so many words ("please tell me what ...")."""
_ABOUT_IT = 2
"""So many more words may stand in a piece that only says of when or of which car is told."""


class Denials:
    """What in one text is denied, well, past or asked. found: where the phrases of each list are.

    The names of the lists are those of `telling:`, with a colon in front. grave: the text sounds so
    much like a danger that a thing from elsewhere in it excuses nothing.
    """

    def __init__(
        self, text: Clauses, found: Mapping[str, list[Span]], named: list[Span], grave: bool
    ) -> None:
        self.text = text
        self.grave = grave
        self.found = found
        self._any_no = [start for start, _ in found.get(":negation", ())]
        self._within = {
            no: frozenset(i for start, end in named if start <= no < end for i in range(start, end))
            for no in self._any_no
        }
        self._fine = {
            text.part[start]
            for start, end in found.get(":fine", ())
            if not any(text.part[n] == text.part[start] and n < start for n in self._any_no)
        }
        alike = {end for _, end in found.get(":likening", ())}
        elsewhere = found.get(":elsewhere", ())
        likened = {i for start, end in elsewhere if start in alike for i in range(start, end)}
        self._elsewhere = {
            text.part[start] for start, _ in elsewhere if start not in likened and not grave
        }
        now = {text.piece[start] for start, _ in found.get(":telling_now", ())}
        self._asked = {
            text.piece[start]
            for start, _ in found.get(":asking", ())
            if start - text.first_of(text.piece, start) <= _ASKED_WITHIN
        } - now

    def hold(self, match: Match, excusable: bool) -> bool:
        """Whether what was matched is told as it stands. excusable: a comfort thing excuses it."""
        parts = self.text.parts_of(match.spans)
        pieces = {self.text.piece[i] for i in match.words}
        if parts & (self._fine | self._elsewhere) or pieces & self._asked or self._denied(match):
            return False
        if excusable and any(
            self.text.part[start] in parts and start not in match.words
            for start, _ in self.found.get(":comfort", ())
        ):
            return False
        return not self._mended(parts)

    def _denied(self, match: Match) -> bool:
        """By a "no" before it, but for one that is in the phrase itself ("wont stop"), or in a
        phrase beside it."""
        own = match.words
        twice = any(no in own for no in self._any_no)
        for no in self._any_no:
            if no in own or (self._within[no] and not self._within[no] & own):
                continue
            for start, end in match.spans:
                if self.text.part[no] != self.text.part[start]:
                    continue
                if no < start <= no + _REACH or (not twice and self._closes(no, end)):
                    return True
        return False

    def _closes(self, no: int, end: int) -> bool:
        """A "no" at the very end of a piece, "flames no"; but not "it closes not"."""
        if self.text.words[no] == "not":
            return False
        last = no + 1 == len(self.text.words) or self.text.piece[no + 1] != self.text.piece[no]
        return last and no >= end

    def _is_whole_piece(self, start: int, end: int) -> bool:
        """Whether a phrase, with a word or two about it, is a piece: "in 1986, ..."."""
        return self.text.piece.count(self.text.piece[start]) - (end - start) <= _ABOUT_IT

    def _mended(self, parts: frozenset[int]) -> bool:
        text, found = self.text, self.found
        lasts = max(parts)
        if any(text.part[s] >= min(parts) for s, _ in found.get(":still", ())):
            return False
        for start, end in found.get(":long_past", ()):
            if text.part[end - 1] in parts or text.part[start] == lasts + 1:
                return True
        present = any(text.part[s] in parts for s, _ in found.get(":present", ()))
        if not present and any(
            text.part[start] == min(parts) - 1 and self._is_whole_piece(start, end)
            for start, end in found.get(":long_past", ())
        ):
            return True
        for start, _ in found.get(":mended", ()):
            denied = any(text.part[n] == text.part[start] and n < start for n in self._any_no)
            if text.part[start] >= lasts and not denied and not present:
                return True
        return False

"""The forms of words of each command, as people say them."""

from __future__ import annotations

import re

from assistant.reading.command_words import FORMS, Command

CLEAR = {
    command: re.compile("|".join(f"(?:{form})" for form in forms))
    for command, forms in FORMS.items()
}
_LEAD = r"(?:(?:and|but|so|then|ok(?:ay)?|please)[ ,]+)*"
_END = r"(?:[^\w)]|(?<!\w)\))*"  # but not the bracket that closes the number of an item
ABOUT = [
    (command, re.compile(_LEAD + pattern + _END, re.IGNORECASE))
    for command, pattern in (
        (Command.WHYNOT, r"why not (?!(?:skip|stop|leave|go|ask|just|simply)\b)(?P<rest>.{2,80}?)"),
        (
            Command.WHYNOT,
            r"why (?:did you not|didn['’]?t you|have you not|haven['’]?t you) (?:find|found)"
            r"(?: anything (?:about|on|with))? (?P<rest>.{2,80}?)",
        ),
        (
            Command.WHYNOT,
            r"why (?:is|are|was|were)(?: there)?(?: no)? (?P<rest>.{2,80}?) "
            r"(?:not (?:found|listed|on the list)|missing from the list)",
        ),
        (
            Command.CHANGES,
            r"what (?:would|could|will|can|might) (?:change|alter|undo) (?P<rest>.{2,80}?)",
        ),
        (
            Command.CHANGES,
            r"what (?:would|could|will) (?:make|let) (?P<rest>.{2,80}?) (?:go(?: away)?|come)",
        ),
        (
            Command.CAME,
            r"how did you (?:get|come|arrive) (?:to|at|by) (?P<rest>.{2,80}?)",
        ),
        (Command.CAME, r"how did you (?:work|figure|make) out (?P<rest>.{2,80}?)"),
        (Command.CAME, r"how did you (?:find|decide(?: on)?) (?P<rest>.{2,80}?)"),
    )
]
"""What is asked about something named; looked at before the shorter forms."""
WITH_REST = [
    (command, re.compile(pattern, re.IGNORECASE))
    for command, pattern in (
        (
            Command.WORRY,
            r"(?:and |also |oh |another |one more |my |the )*(?:worry|worries)(?: is| are)?"
            r"(?: that| about)?[ ,:-]+(?P<rest>.{3,})",
        ),
        (
            Command.WORRY,
            r"(?:and |also |but |oh )*(?:i am|i'm|im|we are|we're) (?:a bit |also |quite |really |"
            r"very |rather )*(?:worried|concerned|anxious|nervous)(?: about| that| because)?"
            r"[ ,:-]+(?P<rest>.{3,})",
        ),
        (
            Command.WORRY,
            r"(?:and |also |but |oh )*(?:something else|another thing|one more thing|by the way)"
            r"[ ,:-]+(?P<rest>.{3,})",
        ),
        (
            Command.WHATIF,
            r"(?:and |but |so |ok(?:ay)?,? )?(?:what(?:'s)? if|what would (?:happen|it be|you say|"
            r"follow)"
            r"(?:,)? if|what happens if|what about if|whatif|suppose|supposing|imagine)\b[ "
            r",:]*(?P<rest>.*)",
        ),
        (
            Command.WRONG,
            r"(?:sorry,? |oops,? |no,? |wait,? )*(?:i want to |i need to |i would like to |let me |"
            r"can i )?"
            r"(?:change|correct|fix|edit|alter|amend) (?:(?:my|the) (?:answer|answers) (?:to|for|"
            r"about|on) )?"
            r"(?:the |my )?(?P<rest>.{2,})",
        ),
        (
            Command.WRONG,
            r"(?:sorry,? |oops,? |no,? |wait,? )*i (?:said|got|answered|typed|put) "
            r"(?:the |my )?(?P<rest>.{2,60}?) (?:wrong|wrongly|incorrectly)\W*",
        ),
        (
            Command.WRONG,
            r"(?:sorry,? |oops,? )?(?:the |my )?(?P<rest>.{2,60}?) (?:was|is) (?:a mistake|"
            r"wrongly (?:said|answered|put|typed)|a typo|not what i meant)\W*",
        ),
        (
            Command.MENDED,
            r"(?:i|we)(?:'ve| have)? (?:just |now |already )?(?:fixed|mended|repaired|(?:(?<=just "
            r")|(?<=now )|(?<=already ))replaced)"
            r" (?:the |my |that |a )?(?P<rest>.{3,60}?)(?: now| already| today)?\W*",
        ),
        (
            Command.MENDED,
            r"(?:the |my )?(?P<rest>.{3,60}?) (?:is|are|has been|have been|was|were|got) (?:now |"
            r"all )?"
            r"(?:fixed|mended|repaired|sorted|replaced) (?:now|already)\W*",
        ),
        (
            Command.MENDED,
            r"(?:the |my )?(?P<rest>.{3,60}?) (?:is|are|has been|have been) now (?:fixed|mended|"
            r"repaired|"
            r"replaced)\W*",
        ),
        (
            Command.MENDED,
            r"(?:fixed|mended|repaired) (?:the |my |that )?(?P<rest>.{3,60}?)(?: now| already)?\W*",
        ),
        (
            Command.MEANS,
            r"what (?:does|do) (?:the word |a |an |the )?(?P<rest>.{2,50}?) (?:mean|stand for)\W*",
        ),
        (
            Command.MEANS,
            r"(?:what is meant by|what do you mean by|define|the meaning of|explain(?! how| why)) "
            r"(?:the word |a |an |the )?(?P<rest>.{2,50}?)\W*",
        ),
        (Command.MEANS, r"(?:what is|what's|what are) (?:an? )(?P<rest>.{2,40}?)\W*"),
    )
]
LONG_WORDS = {
    "worried": Command.WORRY,
    "worries": Command.WORRY,
    "summary": Command.FOUND,
    "findings": Command.FOUND,
    "explain": Command.MEANS,
    "meaning": Command.MEANS,
    "previous": Command.BACK,
    "repaired": Command.MENDED,
    "commands": Command.HELP,
    "repeat": Command.AGAIN,
}
SHORT_WORDS = {
    "help": Command.HELP,
    "back": Command.BACK,
    "undo": Command.BACK,
    "redo": Command.REDO,
    "stop": Command.STOP,
    "quit": Command.STOP,
    "exit": Command.STOP,
    "fixed": Command.MENDED,
    "mended": Command.MENDED,
    "wrong": Command.WRONG,
    "found": Command.FOUND,
}
PHRASES = {
    "what does that mean": Command.MEANS,
    "what is that": Command.MEANS,
    "what does this mean": Command.MEANS,
    "how do i look": Command.HOW,
    "how do i check": Command.HOW,
    "how do i do that": Command.HOW,
    "how do i measure": Command.HOW,
    "where do i look": Command.HOW,
    "why do you ask": Command.WHY,
    "why are you asking": Command.WHY,
    "go back": Command.BACK,
    "forward again": Command.REDO,
    "i said that wrong": Command.WRONG,
    "change an answer": Command.WRONG,
    "change my answer": Command.WRONG,
    "that is fixed now": Command.MENDED,
    "what have we found": Command.FOUND,
    "what can i say": Command.HELP,
    "stop here": Command.STOP,
    "save and leave": Command.STOP,
    "save and quit": Command.STOP,
    "what have you found": Command.FOUND,
    "previous question": Command.BACK,
    "i made a mistake": Command.WRONG,
}

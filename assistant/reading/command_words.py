"""What is no answer, and the plain ways to say it: help, back, again, stop."""

from __future__ import annotations

from enum import StrEnum


class Command(StrEnum):
    """What is asked for instead of answering."""

    HELP = "help"
    AGAIN = "again"
    MEANS = "means"
    HOW = "how"
    WHY = "why"
    BACK = "back"
    REDO = "redo"
    WRONG = "wrong"
    MENDED = "mended"
    FOUND = "found"
    WHATIF = "what if"
    CARD = "card"
    WORRY = "worry"
    WHYNOT = "why not"
    CHANGES = "what would change it"
    CAME = "how did you get there"
    GO_ON = "go on"
    COOLED = "it has cooled"
    STOP = "stop"


THAT = r"(?:that|this|it|them|these|those|one|all that|all this|that one|this one|so)"
FORMS: dict[Command, tuple[str, ...]] = {
    Command.GO_ON: (
        "(?:let us |you can )?(?:go|carry) on(?: now)?",
        "(?:somebody|someone|they|(?:the |a )?(?:garage|fire (?:service|brigade)|mechanic)) "
        f"(?:has|have) dealt with {THAT}",
        f"(?:{THAT} (?:is|has been) )?(?:dealt with|seen to|sorted)",
    ),
    Command.COOLED: (
        f"(?:{THAT} (?:has|is) )?cooled(?: down| off)?(?: now)?",
        f"{THAT} is (?:quite |stone )?(?:cold|cool)(?: now)?",
        "(?:an|the|over an|more than an) hour has (?:passed|gone(?: by)?)",
        "it has (?:been off|stood) for (?:an|over an|more than an) hour",
    ),
    Command.WORRY: (
        "worry",
        "worries",
        "worried",
        "i am worried",
        "something worries me",
        "(?:there is )?something (?:is )?(?:wrong|odd|strange|funny|not right)(?: with the car)?",
        "i have (?:a|another) (?:worry|problem)",
        "another (?:worry|problem|thing)",
    ),
    Command.WHYNOT: (
        "why not",
        f"why (?:is|was|are|were) {THAT} not (?:found|there|listed|on the list)",
    ),
    Command.CHANGES: (
        f"what (?:would|could|will|can|might) (?:change|alter|undo) {THAT}",
        f"what would (?:make|let) {THAT} go(?: away)?",
        "what would change",
    ),
    Command.CAME: (
        f"how did you (?:get|come|arrive) (?:to|at|by) {THAT}",
        "how did you (?:get|come) (?:there|to that conclusion)",
        f"how did you (?:work|find|make|figure) {THAT} out",
        f"how did you (?:find|work out|figure out|decide) {THAT}",
    ),
    Command.HELP: (
        "help",
        "help me",
        "help please",
        "i need (?:some |a bit of )?help(?: with (?:this|the) (?:program|app|thing))?",
        r"\?",
        "h",
        "commands",
        "options",
        "menu",
        "what can i (?:say|type|do|ask|answer)(?: here| now)?",
        "what (?:else )?can i (?:say|type)",
        "what (?:commands|words|options|choices) (?:are there|do you (?:know|take)|can i use)",
        "what are my options",
        "what are (?:the )?(?:options|choices|commands)",
        "what (?:do|should|must|am i (?:meant|supposed) to) (?:i )?(?:say|type|answer|put|write|do)"
        "(?: here| now)?",
        "how (?:does|do) (?:this|i use this|it)(?: thing| program)?(?: work)?",
        "instructions",
        "i am stuck",
        "i am lost",
        "what now",
        "show (?:me )?(?:the )?(?:help|commands)",
        "how do i answer(?: this| that)?",
        "halp",
        "(?:list|show)(?: me)?(?: \\w+){0,4} (?:things|words|what|commands|stuff|answers)"
        "(?: i| you)? (?:can|could|take|understand)(?: .{1,20})?",
        "(?:what|which)(?: \\w+){0,3} (?:can|could|should|do|am) (?:i|you)(?: \\w+){0,2} "
        "(?:say|type|put|write|enter|press|take|understand|answer)(?: .{1,20})?",
        "(?:i )?(?:need|want|give me|some|any|a bit of) (?:a bit of |some )?help(?: .{1,20})?",
        "(?:what|which) words (?:work|do|can)(?: .{1,20})?",
    ),
    Command.AGAIN: (
        "(?:once more|one more time|again|repeat|come again|say again|sorry what|you what)",
        f"repeat (?:{THAT}|the question|yourself)",
        "(?:can|could|will|would) (?:you|i)(?: just)? (?:say|ask|show|read|repeat|put|see|hear|"
        "have)"
        "(?: me)?(?: \\w+){0,4}(?: (?:again|once more|one more time|up))?",
        "(?:say|ask|show|read|give|put|let us see|let us hear)(?: me)?(?: \\w+){0,4} "
        "(?:again|once more|one more time)",
        "(?:what|which) (?:was|is|were|did)(?: \\w+){0,3} (?:question|ask|asking|asked|say)"
        "(?: again| me)?",
        "(?:the )?question(?: again)?(?: please)?",
        "(?:i )?(?:did not|have not|never) (?:catch|see|read|hear|get)(?: \\w+){0,3}"
        "(?: (?:question|say it again))?",
        "(?:i )?(?:lost|missed|forgot|forgotten)(?: \\w+){0,3} question",
        "(?:are|is|am) (?:we|it|this|that|i) (?:nearly|almost|anywhere near|close to|near|halfway|"
        "half way)(?: \\w+){0,3}",
        "(?:nearly|almost) (?:done|there|finished)(?: yet)?",
        "(?:how|is there) (?:much|many|far|long)(?: \\w+){0,6} "
        "(?:left|to go|more|through|thru|take|longer|remaining|are we|done|finished|end|to do)",
        "how many (?:more )?(?:questions?|things|checks|bits)(?: .{1,30})?",
        "how (?:much )?longer(?: .{1,30})?",
        "how much (?:more|of this)(?: .{1,30})?",
        "how long (?:is|will|does|until|till|before|have)(?: .{1,40})?",
        "(?:is there )?(?:much|a lot|lots|many|any) (?:more|left|to go)(?: .{1,20})?",
        "what (?:is|have i|have we)(?: \\w+){0,2} (?:left|still to do|to go)(?: .{1,20})?",
        "what else is (?:left|there)(?: .{1,20})?",
        "(?:when|what time) (?:is|will|does|are)(?: \\w+){0,3} (?:end|over|finish|finished|done)",
    ),
    Command.MEANS: (
        f"what (?:does|do|did) {THAT}(?: word| lot)? (?:mean|stand for)(?: exactly)?",
        f"what (?:is|are) {THAT}(?: mean)?(?: then| exactly| supposed to be)?",
        "what do you mean(?: by (?:that|this|it))?",
        "what is meant(?: by (?:that|this|it))?",
        "means",
        "meaning",
        "meaning please",
        "what means that",
        "explain(?: that| this| it)?",
        "explain please",
        "explain the words?",
        "in plain (?:words|english)",
        "what",
        "define(?: that| this| it)?",
        "definition",
        "eh",
        "huh",
        "pardon",
        "i do not (?:understand|get|follow)(?: that| this| it| you| the question)?",
        "not sure what (?:that|this|it|you) (?:is|means?)",
        "what on earth is that",
        "do not understand(?: that| this| it)?",
        "(?:i )?do not (?:understand|get|know) (?:the|that|this) (?:word|question)s?",
        "no idea what (?:that|this|it) (?:is|means)",
        "(?:i )?do not know what (?:that|this|it|you) (?:is|means?|are)",
        "(?:i have )?never heard of (?:it|that|this|them|one)",
        "what (?:is|are) (?:it|they|those|these) then",
        "i have no idea what (?:that|this|it) (?:is|means)",
        "what does it mean",
    ),
    Command.HOW: (
        "how",
        "how to",
        "how so",
        "how come i look",
        f"how (?:do|can|should|would|could|am|does) (?:i|you|we|one|anyone)(?: meant to| supposed "
        f"to)?"
        f"(?: best)? (?:look|check|measure|test|tell|do|see|find|find out|know|get|reach|read|"
        f"inspect)"
        f"(?: at| for| in| under| to)?(?: {THAT})?(?: out)?",
        f"how (?:is|are) {THAT} (?:done|checked|measured|looked at)",
        "how is it done",
        f"how to (?:look|check|measure|do|test|see|find|tell)(?: {THAT})?",
        f"where (?:do|can|should) i (?:look|find|see|check)(?: for)?(?: {THAT})?",
        f"where (?:is|are|would) {THAT}(?: be)?",
        "where",
        "where is it",
        "what (?:do|should|am) i (?:look|looking|listen|listening|feel|feeling|check|checking)"
        "(?: for| at| to)?",
        f"(?:show|tell) me (?:how|where)(?: to (?:look|check|do|measure))?(?: {THAT})?",
        f"(?:i )?do not know (?:how|where)(?: to (?:look|check|do|measure|find|tell|see))?(?: "
        f"{THAT})?",
        f"(?:i am )?not sure (?:how|where) to (?:look|check|do|measure|find|tell|see)(?: {THAT})?",
        f"explain how(?: to (?:look|check|do|measure))?(?: {THAT})?",
        "what do i look for",
        "how (?:exactly|precisely|then|though|on earth)(?: .{1,20})?",
        "(?:i am )?not sure (?:how|where|what) to (?:\\w+ ?){1,6}",
        "(?:what is )?(?:the )?(?:best|right|proper|easiest) way (?:to|of) (?:\\w+ ?){1,5}",
        "(?:can|could|will) you (?:show|talk|walk|tell|take|run) (?:me|us) (?:through|how)(?: "
        ".{1,40})?",
        "(?:show|talk|walk|take|run) (?:me|us) (?:through|how)(?: .{1,40})?",
        f"how (?:do|would|should|can|am|would) (?:i|you|we|one)(?: \\w+){{0,3}} "
        f"(?:test|check|do|look|measure|see|inspect|go about)(?: {THAT})?(?: (?:then|at|for|one|"
        f"out|"
        "in|properly|exactly|check|bit))*",
        f"how (?:is|do you do) {THAT} (?:done|checked|tested|looked at)?(?: .{{1,20}})?",
        "(?:any )?(?:tips|instructions|guidance)(?: .{1,30})?",
        "what do i (?:actually |even )?(?:do|have to do|need to do|need)(?: (?:here|for this|then|"
        "for "
        "this one|to check it))?",
        "what is the (?:best|right|proper) way(?: to (?:look|check|do|measure))?(?: it| this| "
        "that)?",
    ),
    Command.WHY: (
        "why",
        "why ask",
        "why is that",
        "why that",
        "why this",
        "why this one",
        "why this question",
        "(?:but )?why (?:do|would|did|should|are|must) (?:you|i|we) .{2,60}",
        "why now",
        "why me",
        "why (?:does|do|is|are|would|should|did) (?:that|this|it|these|they|those)(?: .{1,60})?",
        "what (?:is|are) (?:that|this|it) for",
        "what for",
        "what is the (?:point|reason|use)(?: of .+)?",
        "for what reason",
        "reason",
        "how come",
        "what difference does (?:it|that|this) make",
        "so what",
        "what has (?:it|that|this) (?:got )?to do with .+",
        "why bother",
        "who cares",
        "(?:and )?why do you ask(?: me)?(?: that| this)?",
        "why are you asking(?: me)?(?: that| this)?",
        "what makes you ask(?: that)?",
        "does (?:it|that|this) matter",
        "(?:y|why) (?:on earth )?(?:are|do|is|would|does|you) .{2,40}",
        "(?:is|are) (?:this|that|it|these) (?:really |actually )?(?:necessary|needed|important|"
        "relevant)"
        "(?: .{1,30})?",
        "does (?:it|that|this)(?: \\w+){0,2} matter(?: .{1,20})?",
        "what does (?:that|this|it) matter(?: .{1,20})?",
        "why (?:is|are|does|do) (?:that|this|it|they|you|we)(?: .{1,40})?",
        "what (?:is|are) (?:that|this|it|these|they|that one|this one) (?:for|about|in aid of)"
        "(?: .{1,20})?",
        "what (?:has|is|have) (?:that|this|it)(?: \\w+){0,2} (?:to do with|got to do)(?: .{1,30})?",
        "(?:do|why do) (?:i|you|we) (?:really |actually )?need (?:to know|that|this|to ask)(?: "
        ".{1,20})?",
        "why not skip it",
    ),
    Command.BACK: (
        "back",
        "go back",
        "back please",
        "go back please",
        "go back one",
        "back one",
        "one back",
        "step back",
        "undo",
        f"undo {THAT}",
        "undo the last(?: one| answer)?",
        "previous",
        "(?:the )?(?:previous|last) (?:question|one|answer)(?: please)?",
        "back up",
        "go backwards",
        "(?:go )?(?:back )?to the (?:previous|last) (?:question|one)",
        f"take (?:{THAT}|my answer) back",
        f"take back {THAT}",
        f"scrap {THAT}",
        f"(?:cancel|forget|delete|remove) {THAT}",
        "revert",
        "(?:cancel|delete|remove|undo|take back) (?:my )?(?:the )?last answer",
        "one step back",
        "backwards",
        "can we go back",
        "can i go back",
        "let me go back",
        "go to the last one",
        "(?:go |step |take me |jump |skip )?(?:back|bak) (?:a|one|1) ?(?:step|question|one|bit|"
        "screen)?",
        "(?:go|step|jump|get|take me) (?:back|bak)(?: .{1,30})?",
        "(?:previous|prevous|prev|last|earlier) (?:question|one|answer|q|screen)(?: again| "
        "please)?",
        "(?:undo|cancel|scrap|scrub|scratch|delete|remove|bin|forget) (?:that|the last|last|my "
        "last|"
        "what i)"
        "(?: .{1,30})?",
    ),
    Command.REDO: (
        "redo",
        f"redo {THAT}",
        "forward",
        "forwards",
        "forward again",
        "go forward(?: again)?",
        "go forwards",
        "undo the undo",
        "undo (?:the|that) (?:go )?back",
        "put it back",
        "put that back",
        "bring (?:it|that) back",
        "one forward",
        "un undo",
        "restore(?: it| that)?",
        "forward one",
        "step forward",
        "redo the last(?: one| answer)?",
    ),
    Command.WRONG: (
        "wrong",
        "wrong answer",
        "i was wrong",
        "(?:that|this) (?:is|was) wrong",
        "(?:that|this) (?:is|was) not what i (?:said|meant)",
        "mistake",
        "i misspoke",
        "(?:i )?(?:said|got|answered|typed|put|told you|gave you) (?:that|it|this|something|one)"
        "(?: one| answer| bit)? (?:wrong|wrongly|incorrectly)",
        "(?:i )?(?:have )?(?:made|make) (?:a |an )?(?:mistake|error|slip|typo)(?: earlier| "
        "before)?",
        "my mistake",
        "(?:that|it) was (?:a |my )?(?:mistake|typo|slip)",
        "typo",
        "i did not mean that",
        "(?:i (?:want|need|would like) to )?(?:change|correct|fix|edit|alter|amend)"
        "(?: (?:an?|my|the|one|some|that|last|earlier|previous|of|those|it|this|answers?)){0,4}"
        "(?: (?:earlier|before))?",
        "i (?:gave|typed) the wrong (?:answer|thing|number|one)",
        "(?:no )?(?:wait )?i meant (?:something else|another|a different)(?: .{1,20})?",
        "(?:that is |it is |oops )?(?:the )?wrong (?:one|answer|number|button|key|thing)(?:[ "
        ",].{1,30})?",
        "(?:that|it) (?:was|is) not (?:right|what i meant)(?: .{1,30})?",
        "let me (?:redo|change|correct|alter|fix) (?:that|it|this)(?: .{1,20})?",
        "(?:i )?(?:want|need|would like|like|have) to (?:alter|change|redo|correct|fix|edit|amend|"
        "swap)"
        "(?: (?:what i|that|it|the|my|one|last|an))(?: .{1,30})?",
        "(?:can|could|may) i (?:alter|change|redo|correct|fix|edit|amend)(?: .{1,30})?",
        "(?:i )?(?:put|pressed|hit|typed|clicked) (?:the )?wrong(?: .{1,20})?",
        "correction",
        "i take (?:that|it) back",
        "i mis-?typed(?: that| it)?",
        "wrong one",
        "(?:that|the|my|an) (?:last |earlier |previous )?answer (?:is|was) wrong",
        "i (?:said|got) (?:something|one|an answer) wrong(?: earlier| before)?",
    ),
    Command.MENDED: (
        "mended",
        "fixed",
        "repaired",
        "fixed (?:it|that|now)",
        "mended (?:it|that|now)",
        "(?:all )?(?:fixed|mended|repaired|sorted|done|replaced) (?:now|already)",
        "repaired now",
        f"{THAT} (?:is|are|is been|has been|have been|was|got) (?:now )?(?:all )?(?:fixed|mended|"
        f"repaired|sorted)"
        "(?: now| already| today)?",
        f"{THAT} (?:is|has been) (?:now )?replaced (?:now|already)",
        "(?:i|we|they|(?:the|my|a) (?:garage|mechanic|fitter)|a friend|"
        "my (?:wife|husband|dad|son)) (?:have |has )?"
        f"(?:just |now |already )?(?:fixed|mended|repaired|sorted)(?: {THAT})?(?: now| already| "
        f"today)?",
        f"(?:i |we )?(?:have )?had {THAT} (?:fixed|mended|repaired|replaced|sorted)(?: now)?",
        "something (?:is|has been|was) (?:fixed|mended|repaired)(?: now)?",
    ),
    Command.FOUND: (
        "found",
        "findings",
        "summary",
        "so far",
        "results?",
        "list",
        "show list",
        "report",
        "status",
        "what (?:have|did) (?:we|you|i) (?:found|find|got|find out|found out)(?: so far| up to "
        "now)?",
        "what (?:have|has) been found(?: so far)?",
        "what is found(?: so far)?",
        "overview",
        "progress",
        "(?:show|give|tell) me (?:the |a |my )?(?:summary|findings|results?|list|report|overview)",
        "what (?:do|have) (?:we|you) (?:have|got)(?: so far)?",
        "summar(?:y|ise)(?: please| so far)?",
        "what is (?:wrong|the matter)(?: with (?:it|the car|my car))?(?: so far)?",
        "what is wrong so far",
        "how (?:are|am) (?:we|i) (?:doing|getting on)(?: so far)?",
        "where are we",
        "where have we got to",
        "how (?:does it|do things) look(?: so far)?",
        "how is it looking(?: so far)?",
        "sum up",
        "(?:the )?(?:summary|findings|results|story) so far",
        "show (?:summary|findings|results)",
        "anything (?:found|wrong)(?: so far)?",
        "have you found anything",
        "how bad is (?:it|that|this)(?: .{1,20})?",
        "what have you got(?: .{1,30})?",
        "what did you find",
        "(?:what|anything|any)(?: \\w+){0,3} (?:come up|found|failed|fails|failing|faults?|"
        "problems?|"
        "issues|flagged)(?: (?:so far|so fr|yet|up to now|on it|with it|then|already))?",
        "(?:what|anything|any) (?:is |has |are )?(?:wrong|bad)(?: (?:so far|yet|up to now))?",
        "(?:show|give|tell|list|read)(?: me)?(?: \\w+){0,3} (?:faults|problems|fails|failures|"
        "findings|"
        "found|results|issues|verdict)(?: .{1,20})?",
        "(?:has|have|did|does) (?:it|i|we|my car|the car|she|anything)(?: \\w+){0,2} "
        "(?:failed|fail|passed|pass|come up|got wrong)(?: (?:anything|so far|yet|then))?",
        "how (?:is|are) (?:it|she|he|the car|my car|things|we|i) (?:doing|looking|getting on|going)"
        "(?: .{1,20})?",
        "what (?:is|have) (?:we|you|i|the|it)(?: \\w+){0,2} (?:got|verdict|damage|list)(?: so "
        "far)?",
    ),
    Command.CARD: (
        "card",
        "the card",
        "(?:i have )?(?:filled in |got )?(?:the |a |my )?(?:printed |paper )?card",
        "(?:use|type|enter|read|from) (?:in )?(?:the |my |from the )?(?:printed )?card",
        "type in (?:the |my )?(?:answers from the )?card",
        "enter from card",
    ),
    Command.STOP: (
        "stop",
        "stop (?:here|now|it|there|please)",
        "quit",
        "exit",
        "q",
        ":q",
        "bye",
        "goodbye",
        "bye bye",
        "good bye",
        "end",
        "end here",
        "finish(?: here| now)?",
        "leave",
        "log off",
        "let(?: us)? (?:stop|finish|leave it)(?: here| there| now)?",
        "that is enough(?: for (?:now|today|one day))?",
        "enough(?: for (?:now|today))?",
        "save and (?:leave|quit|exit|stop|close)",
        "save",
        "abort",
        "save it and (?:leave|quit|exit|stop)",
        "(?:i am )?(?:gonna|going to|will|want to) (?:stop|finish|leave it|pack up|quit|end)(?: "
        ".{1,30})?",
        "(?:i )?(?:have|need|want|got|would like) to "
        "(?:go|stop|leave|quit|finish|stop here|go now|stop now)(?: now| here)?",
        "i am off",
        "i am (?:done|finished|leaving|stopping)(?: for (?:now|today))?",
        "call it a day",
        "pause",
        "i will (?:stop|leave it|go|finish)(?: here| there)?(?: for (?:now|today))?",
        "break off",
        "(?:can|could|may|shall) (?:i|we) stop(?: here| now)?",
        "carry on (?:later|tomorrow|another time)",
        "that is all for (?:now|today)",
        "no more questions",
        "stop asking(?: me)?",
        "see you",
        "(?:go|carry) on (?:another day|tomorrow)",
        "let us call it a day",
        "give up",
        "i give up",
        "(?:bye|goodbye|cheerio|ta ra|ta ta|see you|night|goodnight|laters)(?: .{1,20})?",
        "(?:i )?(?:have )?(?:got to|gotta|have to|need to|must|had better) (?:go|dash|run|shoot|"
        "be off|"
        "pop out|get off)(?:[ ,].{1,40})?",
        "(?:i )?(?:have )?(?:got to|have to|need to|must) (?:stop|leave)(?: (?:now|here|there|it|"
        "this|for)(?: .{1,30})?)?",
        "i am (?:off|done|finished|going in|stopping|packing|calling it|leaving|knackered)(?: "
        ".{1,40})?",
        "(?:.{1,40}[ ,])?(?:packing it in|pack it in|call it a day|calling it a day|leave it "
        "there|leave it "
        "for (?:now|today|tonight)|that is me done|that is me|enough for (?:now|today|tonight)|"
        "stop there|finish there|do the rest (?:later|tomorrow|another day)|"
        "finish (?:this|it) (?:later|tomorrow|another day))(?: .{1,20})?",
        "save(?: it| this| that| everything| all| my answers| what i have done)? and (?:close|"
        "exit|quit|"
        "stop|leave|end|finish|shut|go)(?: .{1,20})?",
        "(?:can we |can i )?(?:stop|finish|pause|close|shut|end|quit|exit)(?: (?:it|this|the|"
        "program|app|"
        "down|up|here|there|now|please|for now|for today))+",
    ),
}

"""The roles of words: what a word of the note language, of a listing or of a sheet does there.

`docs/roles.md` is written from this table, and an editor shows its lines.
"""

from __future__ import annotations

TELL_NOTHING = "Words that tell nothing"
PART_THINGS = "Words that part one thing from the next"
DENY = "Words that deny"
WRONG = "Words of what is wrong"
STUFFS = "Words beside a material"
MARKS = "Words of marks"
NAMES = "Words beside a name"
OTHERS = "Words of something else than the piece"
CLAUSES = "Words by which subject and verb are found"
MEASURES = "Words of numbers, measures and years"
CONDITION = "Words of the condition as a whole"
REMARKS = "Words that remarks name"
LISTINGS = "Words in the text of a listing"
PEOPLE = "Words of people and streets on a sheet"
IN_INSCRIPTIONS = "Words in an inscription on a sheet"

SPELLINGS = ("spelling", "misspelling")
"""The roles of words that are read as another: its spellings, and slips of the pen for it."""
IN_CLAIMS = "in-claims"
CUT_IN = "cut-in"
"""The role of words that stand in inscriptions and name nobody; no words of a note."""

ROLES: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        TELL_NOTHING,
        (
            ("filler", "changes nothing, and is told as neutral"),
            ("little", "changes nothing, and is not worth telling of"),
            ("describing", "is understood, and no observation is made of it"),
            ("set-phrase", "means something else together, and is passed over"),
            ("spelling", "each text is a word and its other spellings"),
            (
                "misspelling",
                "the same, of slips of the pen: what was taken for them is told as guessed",
            ),
            ("as-written", "counts only where its plurals are written so: not *in this piece*"),
        ),
    ),
    (
        PART_THINGS,
        (
            ("link", "parts one thing from the next"),
            ("join", "sets one thing beside another of its kind"),
            ("opening", "without a comma before it, the next thing begins"),
            ("goes-on", "behind the bare *no* to a question, something new begins"),
            ("said-of-before", "alone between commas, is said of what stands before it"),
        ),
    ),
    (
        DENY,
        (
            ("negation", "what follows is absent"),
            ("after-negation", "what stands before is absent"),
            ("absent FEATURE", "the feature was looked for and is not there"),
            ("still-denied", "may stand among further damage that is denied"),
            ("list-end", "ends a list of what is denied"),
            ("break", "a negation ends here"),
            ("exception", "what follows is not as a word of `sound` before it says"),
            ("relative", "begins a clause on the exception or kind of things before it"),
            ("denies-before", "denies what stands before, and begins no new thing"),
            ("free-of-it", "damage right before it is denied: *rust free*"),
            ("set-aside", "behind it stands what the piece is not"),
            ("sets-aside-a-material", "the same, right before a material alone"),
        ),
    ),
    (
        WRONG,
        (
            ("damage", "what may be wrong with a thing"),
            ("damage-of-one", "the same of one thing; of several, how they were made"),
            ("renewal", "the same, and the thing was fitted later"),
            ("of-the-piece", "alone between commas, is said of the whole piece"),
            ("thing", "what damage is said of; in braces all words of a feature"),
            ("likewise", "the damage told right before is said of this as well"),
            ("put-right", "the damage told right before is so no more"),
            ("sound WORDING", "it is whole; the wording is what an exception is"),
            ("left WORDING", "so many of so many are; the rest are as the wording"),
            ("few-left", "so few of a thing are left, the rest are gone"),
            ("done-to-it", "shows damage done: *not bent* as *not cracked*"),
            ("each-of-them", "what differs right behind it differs by design"),
            ("by-design", "damage told in its stretch is how the piece was made"),
            ("design-noun", "damage before what is pictured is of that: *a broken heart motif*"),
            ("left-undone", "what nobody did to the piece tells nothing of it"),
            ("locates", "right after a flaw, tells where that is"),
        ),
    ),
    (
        STUFFS,
        (
            ("false", "what follows is imitated; `{false} {gem}` in a value is that"),
            ("imitates", "beside another material, what follows is imitated"),
            ("likeness", "what stands before is only what it looks like"),
            ("coat", "the metal before is only the outside"),
            ("metal-part", "right behind a fineness, it alone may be of that metal"),
            ("qualifier", "beside a metal, not all of the piece need be of it"),
            ("no-qualifier", "beside a fineness, takes nothing back"),
            ("takes-color", "a metal before it is only its colour ..."),
            ("metal-color", "... where it is one of these"),
            ("shows-color", "a gem right before it is only its colour"),
            ("false-stuff", "a gem beside it is only what it stands for"),
        ),
    ),
    (
        MARKS,
        (
            ("mark", "what follows is text on the piece"),
            ("mark-noun", "text may stand before it or behind"),
            ("signed", "a mark is there, also where nobody says what it reads"),
            ("marked", "the same, where nothing else is said of the piece"),
            ("first-letters", "only the beginning of the text was read"),
            ("last-letters", "only the end was read"),
            ("part-letters", "only some part was read"),
            ("lost-letters", "beside a text: more letters stand there"),
            ("alternative", "the texts on both sides are readings of one mark"),
            ("label", "text that follows stands on something loose"),
            ("hallmark-said", "what follows is what a hallmark shows"),
            ("not-a-maker", "stands on pieces and never names a maker"),
            ("in-many-names", "alone, tells none of the makers with it in their names"),
            ("given-name", "cut in for an owner, names no maker that signs with it"),
            ("bears-initials", "a thing for its owner's initials ..."),
            ("initials", "... as which these words tell of them there"),
            ("no-makers-way", "a mark made so is seldom its maker's"),
        ),
    ),
    (
        NAMES,
        (
            ("told", "hearsay, and nothing that was seen"),
            ("made-by", "the name that follows is the maker's"),
            ("before-a-name", "says something only where a name follows"),
            ("manner", "the name that follows is not its maker's"),
            ("manner-after", "the same of the name before it"),
            ("person", "a name with a capital behind it is somebody's: *aunt Ruby*"),
            ("owner", "so is a maker's name behind it"),
            ("owner-after", "the same of a name before it"),
            ("giver", "the same of a name before it"),
            ("no-name-end", "a word that ends so is no maker's name"),
            ("no-slip", "no slip of the pen and, in small letters, no maker"),
            ("place-noun", "a word with a capital right before it is part of a name"),
        ),
    ),
    (
        OTHERS,
        (
            ("story", "what follows tells where it came from"),
            ("story-end", "the piece is told of again"),
            ("story-noun", "what stands right before it tells of a place"),
            ("history", "its sentence, unless the first, is of a firm or fashion"),
            ("in-hand", "... unless such a word stands in it"),
            ("elsewhere", "from here on a stretch tells of other things ..."),
            ("back-again", "... unless such a word comes back to the piece"),
            ("of-another", "said of a piece, it is another one"),
            ("tells-of-it", "what stands on a box or a card is told"),
            ("wishes", "a wish of who writes begins"),
            ("lies-somewhere", "behind it stands where the piece was"),
            ("as-pictured", "who does so may be a picture on the piece"),
            ("where", "right behind the piece, tells where that was"),
        ),
    ),
    (
        CLAUSES,
        (
            ("somebody", "subject of a clause that is of a person"),
            ("somebody-at-verb", "the same, but only before what people do"),
            ("person-noun", "the same, behind *the* or *my*"),
            ("outside-noun", "subject of a clause that is not of the piece"),
            ("unless-named", "among these, of the piece where it was named before"),
            ("bears-no-text", "among these, what bears nothing that could be told"),
            ("harms-it", "what another thing did to the piece is of the piece"),
            ("notices", "what a person does so is of the piece"),
            ("acts-on-it", "what a person does so was done to it"),
            ("lives", "what a person does so is not told of it"),
            ("sends-it", "who does so tells nothing of it"),
            ("denies-verb", "denies what somebody does, and no thing ..."),
            ("having", "... save with these, where it denies the thing ..."),
            ("thinking", "... and these, where it denies what is thought ..."),
            ("definite", "... if the thing begins so ..."),
            ("being", "... and goes on so"),
            ("finite", "before such a verb the subject ends"),
            ("before-verb", "may stand between subject and verb"),
            ("clause-begins", "before it a clause ends"),
            ("behind-noun", "behind it the noun of the subject has been told"),
            ("behind-doing", "may follow what was done to the piece"),
            ("side-noun", "makes a side, and no verb, of the word before"),
            ("time-noun", "behind *last*, stands before a subject"),
        ),
    ),
    (
        MEASURES,
        (
            ("count", "how many"),
            ("number", "its words stand for 0, 1, 2 ... in order"),
            ("unit", "a unit of measure; the wording is named `unit-cm` and so on"),
            ("fraction", "before a unit; the wording is named `fraction-1-4`"),
            ("half", "behind a number, one half more"),
            ("times", "between two measures: 5 by 6 cm"),
            ("up-to", "between the two ends of one: 5 to 6 cm"),
            ("how-measured", "right after a measure, how that was taken"),
            ("number-of", "the number right behind it is no year"),
            ("number-after", "the same of a number right before it"),
            ("street", "the same, with a name between: 1912 Elm *Street*"),
            ("part-of-a-time", "a third of a decade or century: `time-early` ..."),
            ("stone-shape", "a shape in which loose stones are sold"),
        ),
    ),
    (
        CONDITION,
        (
            ("condition", "a grade beside it is that of the whole piece"),
            ("beside-condition", "may stand between: good *used* condition"),
        ),
    ),
    (
        REMARKS,
        (("remark", "only remarks name it, in braces"),),
    ),
    (
        LISTINGS,
        (
            (IN_CLAIMS, "a family of words that claims name in braces"),
            ("none-of", "`~` in the words of a claim stands for each of these"),
            ("no-denial", "denies nothing"),
            ("denied-through", "a denial goes on through it"),
            ("no-claim", "what follows in the clause is not claimed"),
            ("no-claim-after", "what stands before it is not claimed"),
            ("doubted-after", "the same, and of a clause that a comma ends"),
            ("answered-no", "the question or field before it claims nothing"),
            ("about-year", "a year beside it is one of several"),
            ("between-years", "may stand among years told together"),
            ("at-latest", "a year beside it is later than what is meant"),
            ("at-least", "an age beside it is the least"),
            ("as-told", "the sentence that it opens, with a comma, claims nothing"),
            ("of-kinds", "its sentence tells of such things in general ..."),
            ("of-this", "... unless one of these stands in it"),
            ("of-others", "behind such a sentence, one with it goes on so"),
            ("history-told", "a heading, beneath which others are told of"),
        ),
    ),
    (
        PEOPLE,
        (
            ("address-form", "names with a capital behind it are somebody's"),
            ("whose", "before a word of kin"),
            ("kin", "behind `whose`, names behind it are somebody's"),
            ("elder", "the same, also by itself"),
            ("had-by", "two names or three behind it are somebody's"),
            ("street-noun", "with a number and up to three words before it, an address"),
            ("street-short", "the same, where it and those words have capitals"),
            ("number-street", "an address between a number and up to three words"),
            ("street-number", "an address before up to four words and a number"),
            ("street-end", "at the end of a word and before a number, an address"),
        ),
    ),
    (
        IN_INSCRIPTIONS,
        ((CUT_IN, "names nobody; other words with a capital may"),),
    ),
)
"""What words do: under each heading the name of a role, and what words of it do.

Behind a name in capitals stands what the role needs beside it, as in `absent mark`.
"""


def meaning_of(role: str) -> str:
    """What words of a role do; nothing for a role that is not there."""
    found = (does for _, held in ROLES for name, does in held if name.split()[0] == role)
    return next(found, "")


TARGETS = {"absent": "feature", "sound": "wording", "left": "wording"}
"""The roles behind which the name of something stands, each with the kind of entry it is."""


def _named(*headings: str) -> tuple[str, ...]:
    return tuple(
        name.split()[0] for heading, held in ROLES if heading in headings for name, _ in held
    )


WORDING_ROLES = _named(*(heading for heading, _ in ROLES))

OF_PEOPLE = _named(PEOPLE)
"""Roles of words by which a sheet knows names of people and streets; no words of a note."""

DAMAGE_OF_ONE = "damage-of-one"

RENEWAL = "renewal"

DAMAGE_ROLES = ("damage", DAMAGE_OF_ONE, RENEWAL)
"""Roles of words that tell what is wrong, or that a part is a later one."""

OF_LISTINGS = (
    *(IN_CLAIMS, "no-claim", "no-claim-after", "doubted-after", "answered-no"),
    "no-denial",
    *("as-told", "of-kinds", "of-this", "of-others", "history-told"),
)
"""Roles of wordings of listings, the words of which may name a family in braces."""

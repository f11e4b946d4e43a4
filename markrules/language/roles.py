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

ROLES: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...] = (
    (
        TELL_NOTHING,
        (
            ("filler", "lovely", "changes nothing, and is told as neutral"),
            ("little", "a, the, is", "changes nothing, and is not worth telling of"),
            ("describing", "clustered", "is understood, and no observation is made of it"),
            ("set-phrase", "a marriage gift", "means something else together, and is passed over"),
            ("spelling", "color colour", "each text is a word and its other spellings"),
            (
                "misspelling",
                "clasp claps",
                "the same, of slips of the pen: what was taken for them is told as guessed",
            ),
            (
                "as-written",
                "in pieces",
                "counts only where its plurals are written so: not *in this piece*",
            ),
        ),
    ),
    (
        PART_THINGS,
        (
            ("link", "with, on, of", "parts one thing from the next"),
            ("join", "and, or", "sets one thing beside another of its kind"),
            ("opening", "a, both", "without a comma before it, the next thing begins"),
            ("goes-on", "just a, it's", "behind the bare *no* to a question, something new begins"),
            (
                "said-of-before",
                "single",
                "alone between commas, is said of what stands before: *earring, single*",
            ),
        ),
    ),
    (
        DENY,
        (
            ("negation", "no, not, without", "what follows is absent"),
            ("after-negation", "missing, absent", "what stands before is absent"),
            ("absent FEATURE", "unmarked", "the feature was looked for and is not there"),
            ("still-denied", "any, visible", "may stand among further damage that is denied"),
            ("list-end", "etc, or so", "ends a list of what is denied"),
            ("break", "but, though", "a negation ends here"),
            ("exception", "except for", "what follows is not as a word of `sound` before it says"),
            ("relative", "which", "begins a clause on the exception or kind of things before it"),
            ("denies-before", "isn't", "denies what stands before, and begins no new thing"),
            ("free-of-it", "free", "damage right before it is denied: *rust free*"),
            ("set-aside", "rather than", "behind it stands what the piece is not"),
            ("sets-aside-a-material", "too heavy for", "the same, right before a material alone"),
        ),
    ),
    (
        WRONG,
        (
            ("damage", "broken, missing", "what may be wrong with a thing"),
            ("damage-of-one", "glued", "the same of one thing; of several, how they were made"),
            ("renewal", "replaced, later", "the same, and the thing was fitted later"),
            ("of-the-piece", "modern", "alone between commas, is said of the whole piece"),
            ("thing", "catch, stone", "what damage is said of; in braces all words of a feature"),
            ("likewise", "so is, too", "the damage told right before is said of this as well"),
            ("put-right", "since replaced", "the damage told right before is so no more"),
            ("sound WORDING", "undamaged", "it is whole; the wording is what an exception is"),
            ("left WORDING", "still there", "so many of so many are; the rest are as the wording"),
            ("few-left", "only", "so few of a thing are left, the rest are gone"),
            ("done-to-it", "bent, worn", "shows damage done: *not bent* as *not cracked*"),
            ("each-of-them", "each", "what differs right behind it differs by design"),
            ("by-design", "on purpose", "damage told in its stretch is how the piece was made"),
            (
                "design-noun",
                "motif",
                "damage before what is pictured is of that: *a broken heart motif*",
            ),
            ("left-undone", "never", "what nobody did to the piece tells nothing of it"),
            ("locates", "at, near", "right after a flaw, tells where that is"),
        ),
    ),
    (
        STUFFS,
        (
            ("false", "fake", "what follows is imitated; `{false} {gem}` in a value is that"),
            ("imitates", "looks like", "beside another material, what follows is imitated"),
            ("likeness", "coloured, toned", "what stands before is only what it looks like"),
            ("coat", "plated, filled", "the metal before is only the outside"),
            ("metal-part", "rim, inlay", "right behind a fineness, it alone may be of that metal"),
            ("qualifier", "front, shell", "beside a metal, not all of the piece need be of it"),
            ("no-qualifier", "rose, jewelry", "beside a fineness, takes nothing back"),
            ("takes-color", "stones, glass", "a metal before it is only its colour ..."),
            ("metal-color", "gold, silver", "... where it is one of these"),
            ("shows-color", "enamel", "a gem right before it is only its colour"),
            ("false-stuff", "glass, plastic", "a gem beside it is only what it stands for"),
        ),
    ),
    (
        MARKS,
        (
            ("mark", "marked, stamped", "what follows is text on the piece"),
            ("mark-noun", "mark, initials", "text may stand before it or behind"),
            ("signed", "maker's mark", "a mark is there, also where nobody says what it reads"),
            ("marked", "stamped", "the same, where nothing else is said of the piece"),
            ("first-letters", "begins with", "only the beginning of the text was read"),
            ("last-letters", "ends in", "only the end was read"),
            ("part-letters", "can only make out", "only some part was read"),
            ("lost-letters", "then unreadable", "beside a text: more letters stand there"),
            ("alternative", "or", "the texts on both sides are readings of one mark"),
            ("label", "tag, card", "text that follows stands on something loose"),
            ("hallmark-said", "hallmarked with", "what follows is what a hallmark shows"),
            ("not-a-maker", "baby, size 7", "stands on pieces and never names a maker"),
            ("in-many-names", "studio", "alone, tells none of the makers with it in their names"),
        ),
    ),
    (
        NAMES,
        (
            ("told", "grandmother said", "hearsay, and nothing that was seen"),
            ("made-by", "by, maker", "the name that follows is the maker's"),
            ("before-a-name", "sounds like", "says something only where a name follows"),
            ("manner", "in the style of", "the name that follows is not its maker's"),
            ("manner-after", "style, inspired", "the same of the name before it"),
            ("person", "aunt", "a name with a capital behind it is somebody's: *aunt Ruby*"),
            ("owner", "Mrs, belonged to", "so is a maker's name behind it"),
            ("owner-after", "family, thinks", "the same of a name before it"),
            ("giver", "gave, wore", "the same of a name before it"),
            ("no-name-end", "ous, ful", "a word that ends so is no maker's name"),
            ("no-slip", "miracle", "no slip of the pen and, in small letters, no maker"),
            ("place-noun", "lane", "a word with a capital right before it is part of a name"),
        ),
    ),
    (
        OTHERS,
        (
            ("story", "bought, inherited", "what follows tells where it came from"),
            ("story-end", "with, shaped", "the piece is told of again"),
            ("story-noun", "sale, shop", "what stands right before it tells of a place"),
            ("history", "was founded", "its sentence, unless the first, is of a firm or fashion"),
            ("in-hand", "this, is marked", "... unless such a word stands in it"),
            ("elsewhere", "shown next to", "from here on a stretch tells of other things ..."),
            ("back-again", "marked, but", "... unless such a word comes back to the piece"),
            ("of-another", "similar, other", "said of a piece, it is another one"),
            ("tells-of-it", "says", "what stands on a box or a card is told"),
            ("wishes", "would, hoping", "a wish of who writes begins"),
            ("lies-somewhere", "came, lay", "behind it stands where the piece was"),
            ("as-pictured", "wears", "who does so may be a picture on the piece"),
            ("where", "in, beside", "right behind the piece, tells where that was"),
        ),
    ),
    (
        CLAUSES,
        (
            ("somebody", "I, she", "subject of a clause that is of a person"),
            ("somebody-at-verb", "they", "the same, but only before what people do"),
            ("person-noun", "seller", "the same, behind *the* or *my*"),
            ("outside-noun", "box, auction", "subject of a clause that is not of the piece"),
            ("unless-named", "ship, photo", "among these, of the piece where it was named before"),
            ("bears-no-text", "postage", "among these, what bears nothing that could be told"),
            ("harms-it", "eaten", "what another thing did to the piece is of the piece"),
            ("notices", "see, think", "what a person does so is of the piece"),
            ("acts-on-it", "clean, lost", "what a person does so was done to it"),
            ("lives", "sold, married", "what a person does so is not told of it"),
            ("sends-it", "post, wrap", "who does so tells nothing of it"),
            ("denies-verb", "don't", "denies what somebody does, and no thing ..."),
            ("having", "have", "... save with these, where it denies the thing ..."),
            ("thinking", "think", "... and these, where it denies what is thought ..."),
            ("definite", "the", "... if the thing begins so ..."),
            ("being", "is", "... and goes on so"),
            ("finite", "is, had", "before such a verb the subject ends"),
            ("before-verb", "also, never", "may stand between subject and verb"),
            ("clause-begins", "and, because", "before it a clause ends"),
            ("behind-noun", "of, in", "behind it the noun of the subject has been told"),
            ("behind-doing", "last, off", "may follow what was done to the piece"),
            ("time-noun", "week", "behind *last*, stands before a subject"),
        ),
    ),
    (
        MEASURES,
        (
            ("count", "a pair of, several", "how many"),
            ("number", "one, two", "its words stand for 0, 1, 2 ... in order"),
            ("unit", "inch", "a unit of measure; the wording is named `unit-cm` and so on"),
            ("fraction", "a quarter", "before a unit; the wording is named `fraction-1-4`"),
            ("half", "and a half", "behind a number, one half more"),
            ("times", "by", "between two measures: 5 by 6 cm"),
            ("up-to", "to, till", "between the two ends of one: 5 to 6 cm"),
            ("how-measured", "across", "right after a measure, how that was taken"),
            ("number-of", "shape no", "the number right behind it is no year"),
            ("number-after", "lire", "the same of a number right before it"),
            ("street", "road", "the same, with a name between: 1912 Elm *Street*"),
            ("part-of-a-time", "early, late", "a third of a decade or century: `time-early` ..."),
            ("stone-shape", "heart, kite", "a shape in which loose stones are sold"),
        ),
    ),
    (
        CONDITION,
        (
            ("condition", "condition", "a grade beside it is that of the whole piece"),
            ("beside-condition", "used", "may stand between: good *used* condition"),
        ),
    ),
    (REMARKS, (("remark", "added", "only remarks name it, in braces"),)),
    (
        LISTINGS,
        (
            (IN_CLAIMS, "every", "a family of words that claims name in braces"),
            ("none-of", "not a single", "`~` in the words of a claim stands for each of these"),
            ("no-denial", "not only", "denies nothing"),
            ("denied-through", "really, made", "a denial goes on through it"),
            ("no-claim", "cannot say whether", "what follows in the clause is not claimed"),
            ("no-claim-after", "was not tested", "what stands before it is not claimed"),
            ("doubted-after", ", I think", "the same, and of a clause that a comma ends"),
            ("answered-no", "sadly not", "the question or field before it claims nothing"),
            ("about-year", "circa", "a year beside it is one of several"),
            ("between-years", "to, late", "may stand among years told together"),
            ("at-latest", "before, pre", "a year beside it is later than what is meant"),
            ("at-least", "over", "an age beside it is the least"),
            ("as-told", "apparently", "the sentence that it opens, with a comma, claims nothing"),
            ("of-kinds", "was all the rage", "its sentence tells of such things in general ..."),
            ("of-this", "this, here, my", "... unless one of these stands in it"),
            ("of-others", "he, the firm", "behind such a sentence, one with it goes on so"),
            ("history-told", "about the maker", "a heading, beneath which others are told of"),
        ),
    ),
    (
        PEOPLE,
        (
            ("address-form", "Mrs", "names with a capital behind it are somebody's"),
            ("whose", "my, late", "before a word of kin"),
            ("kin", "mother", "behind `whose`, names behind it are somebody's"),
            ("elder", "granny", "the same, also by itself"),
            ("had-by", "belonged to", "two names or three behind it are somebody's"),
            ("street-noun", "street", "with a number and up to three words before it, an address"),
            ("street-short", "St, Close", "the same, where it and those words have capitals"),
            ("number-street", "rue", "an address between a number and up to three words"),
            ("street-number", "via", "an address before up to four words and a number"),
            ("street-end", "straße", "at the end of a word and before a number, an address"),
        ),
    ),
    (
        IN_INSCRIPTIONS,
        ((CUT_IN, "mother, memory", "names nobody; other words with a capital may"),),
    ),
)
"""What words do: under each heading the name of a role, words that have it, and what they do.

Behind a name in capitals stands what the role needs beside it, as in `absent mark`.
"""


def meaning_of(role: str) -> str:
    """What words of a role do, with such words; nothing for a role that is not there."""
    return next(
        (
            f"{does} ({example})"
            for _, held in ROLES
            for name, example, does in held
            if name.split()[0] == role
        ),
        "",
    )


TARGETS = {"absent": "feature", "sound": "wording", "left": "wording"}
"""The roles behind which the name of something stands, each with the kind of entry it is."""


def _named(*headings: str) -> tuple[str, ...]:
    return tuple(
        name.split()[0] for heading, held in ROLES if heading in headings for name, _, _ in held
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

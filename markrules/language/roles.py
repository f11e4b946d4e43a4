"""The roles of words: what a word of the note language, of a listing or of a sheet does there."""

from __future__ import annotations

OF_PEOPLE = (
    "address-form",  # Mrs: on a sheet, names with a capital behind it are somebody's
    "whose",  # my, late: before a word of kin
    "kin",  # mother: on a sheet, behind `whose`, names behind it are somebody's
    "elder",  # granny: the same, also by itself
    "had-by",  # belonged to: on a sheet, two names or three behind it are somebody's
    "street-noun",  # street: on a sheet, a number and up to three words before it are an address
    "street-short",  # St, Close: the same, where it and the words before have capitals
    "number-street",  # rue: an address between a number and up to three words
    "street-number",  # via: an address before up to four words and a number
    "street-end",  # straße: at the end of a word and before a number, an address
)
"""Roles of words by which a sheet knows names of people and streets; no words of a note."""

CUT_IN = "cut-in"
"""The role of words that stand in inscriptions and name nobody; no words of a note either."""

WORDING_ROLES = (
    "filler",  # carries no meaning for a reading: lovely, genuine
    "little",  # the same, and not worth telling either: a, the, is
    "negation",  # no, not, without: what follows is absent
    "after-negation",  # missing, absent: what stands before is absent
    "still-denied",  # any, visible, wear: may stand among further damage that a denial reaches
    "list-end",  # etc, or so: ends a list of what is denied
    "mark",  # marked, stamped, signed: what follows is text on the piece
    "label",  # tag, label, card: text that follows stands on something loose
    "absent",  # unmarked, unsigned: the target feature was looked for and is absent
    "told",  # "grandmother said": hearsay, not seen
    "person",  # aunt, belonged to, called: a name in capitals behind it is somebody's
    "owner",  # Mrs, belonged to: a maker's name behind it is somebody's too
    "owner-after",  # family, thinks: a name before it is of people, and no maker's
    "giver",  # gave, wore: the same of a name that stands before
    "set-aside",  # rather than, thought it was: what follows is what the piece is not
    "sets-aside-a-material",  # too heavy for: the same, right before a material alone
    "no-name-end",  # -ous, -ful: a word that ends so is no name, though it has a capital
    "no-slip",  # colin, miracle: no slip of the pen and, in small letters, no maker
    "history",  # was founded: its sentence tells of a firm, a stuff or a fashion in general ...
    "in-hand",  # this, is marked: ... unless such a word tells that it is of the piece
    "set-phrase",  # a marriage gift: together such words mean something else and are passed over
    "elsewhere",  # kept in a, shown next to: from here on a stretch tells of other things ...
    "back-again",  # marked, but: ... unless such a word comes back to the piece
    "denies-verb",  # don't: denies what somebody does ...
    "having",  # have: ... save with these, where it denies the thing ...
    "thinking",  # think: ... and these, where it denies what is thought ...
    "definite",  # the: ... if the thing begins so ...
    "being",  # is: ... and goes on so
    "somebody",  # I, she: the subject of a clause that is of a person ...
    "somebody-at-verb",  # they: ... and of one only before what people do
    "person-noun",  # seller, friend: the same, behind `the` or `my`
    "outside-noun",  # box, auction: the subject of a clause that is not of the piece
    "unless-named",  # ship: one of these that is of the piece where it was named before
    "bears-no-text",  # postage: among these what bears no writing that could be told
    "each-of-them",  # each: what differs right behind it differs by design
    "free-of-it",  # free: damage right before it is denied
    "sends-it",  # post, wrap: who does so to it tells nothing of it
    "time-noun",  # week: behind `last`, before the subject of a clause
    "left-undone",  # never: what somebody did not do to the piece tells nothing of it
    "harms-it",  # the moth has eaten the ribbon: what another thing did to the piece is of it
    "notices",  # see, think: what a person does so is of the piece ...
    "acts-on-it",  # clean, lost: ... and what one does so was done to it ...
    "lives",  # sold, married: ... and what else people do is not told of it
    "finite",  # is, had: before such a verb the subject ends
    "before-verb",  # also, never: stands between the subject and the verb that tells
    "clause-begins",  # and, because: before it one clause ends
    "behind-noun",  # of, in: behind it the noun of a subject has been told
    "of-another",  # similar, other: of a piece, it is another than the one spoken of
    "wishes",  # would, hoping: with it a wish of who writes begins
    "lies-somewhere",  # came, lay: behind it is told where the piece was
    "as-pictured",  # wears: what a person does so may be a picture on the piece
    "where",  # in, beside: right behind the piece it tells where that was
    "behind-doing",  # last, off: may follow what was done to the piece
    "tells-of-it",  # says, marked: what stands on a box or a card is told
    "goes-on",  # just a, it's: behind the bare no to a question, something new begins
    "story",  # bought, inherited: what follows tells of where it came from, and pictures nothing
    "story-end",  # with, shaped: what follows is of the piece again
    "story-noun",  # sale, shop: what stands right before it tells what place it is
    "place-noun",  # lane, street: a word in capitals right before is part of a name
    "takes-color",  # stones, glass: a metal right before is only their colour ...
    "metal-color",  # gold, silver: ... where it is one of these words, which are colours too
    "false-stuff",  # glass, plastic: a gem's name right behind is only what they stand for
    "shows-color",  # enamel, plastic: a gem's name right before is only their colour
    "count",  # a pair of, several, two
    "damage",  # broken, missing: the wording is named in the words of faults, {missing} {stone}
    "damage-of-one",  # glued: the same, of a single thing; of several it tells how they were made
    "renewal",  # replaced, later: the same, and the thing it is said of was fitted later
    "of-the-piece",  # modern, worn: words that are said of the piece where they stand alone
    "thing",  # catch, stone: what a damage or a renewal is said of
    "false",  # fake, imitation: the material named next is not meant; {false} {gem} in a value
    "coat",  # plated, filled: the metal named before is only the outside
    "imitates",  # looks like: where another material is named, the one that follows is imitated
    "remark",  # a class of words that remarks name in braces; nothing else is made of them
    "likeness",  # coloured, toned: the material named before is only what it looks like
    "signed",  # signed, maker's mark: a mark is there, also where no text is told
    "marked",  # stamped: the same, where nothing else is said of the piece
    "mark-noun",  # mark, initials, letter: text may follow or stand before it
    "first-letters",  # begins with: of the text that follows only the beginning was read
    "last-letters",  # ends in: of the text that follows only the end was read
    "part-letters",  # can only make out: of the text that follows only a part was read
    "lost-letters",  # and then unreadable: beside a text, more letters than were read
    "alternative",  # or: the texts on both sides are readings of one mark
    "made-by",  # by, maker: the name that follows is its maker's
    "manner",  # in the style of, copy of, not: the maker's name that follows did not make it
    "manner-after",  # style, inspired, lookalike: the same of the name that stands before
    "describing",  # clustered, reverse: understood, and no observation is made of it
    "link",  # with, on, of: carries no meaning, but parts one thing from the next
    "join",  # and, or: carries no meaning, but sets one thing beside another of its kind
    "break",  # but, though: a negation ends here
    "likewise",  # so is, too: the damage told right before is said of this thing as well
    "left",  # still there: said of so many of so many, the rest are as the target says: missing
    "exception",  # except for: behind a word of the role `sound`, what follows is not so ...
    "relative",  # which: begins a clause that tells of the exception right before it
    "sound",  # undamaged: ... the target is the wording of what it then is: broken, missing
    "denies-before",  # isn't, not: denies of what stands before, and begins no new thing
    "few-left",  # only: so few of a thing are left behind it
    "put-right",  # since replaced: the damage told right before is so no more
    "opening",  # a, both: right behind something else, without a comma, the next thing begins
    "metal-part",  # rim, inlay: right behind a metal's fineness, it alone may be of it
    "no-qualifier",  # rose, jewelry: beside a fineness it takes nothing back
    "qualifier",  # front, shell, layered: beside a metal's name or figure, it need not be all of it
    "hallmark-said",  # hallmarked with: right behind it stands what a hallmark shows
    "not-a-maker",  # words that stand on pieces and are no maker's: baby, a size, a finding's maker
    "in-many-names",  # vintage, studio: alone it tells none of the makers with it in their names
    "part-of-a-time",  # early, late: of a decade or century; the wording is time-early and so on
    "times",  # by: between two measures, 5 by 6 cm
    "up-to",  # to, till: between the two ends of what is measured, 5 to 6 cm
    "half",  # and a half: behind a number, one half more
    "number-of",  # shape no, ref: the number right behind it is no year
    "number-after",  # lire, sales: the same of a number right before it
    "street",  # road, avenue: the same, of a number with a name in capitals between
    "said-of-before",  # single: alone between commas, said of what stands before: earring, single
    "fraction",  # a quarter, an: before a unit; the wording is named fraction-1-4, fraction-1-1
    "unit",  # a unit of measure; the wording is named unit-cm and so on
    "number",  # number words: the texts stand for 0, 1, 2 ... in order
    "as-written",  # in pieces: a phrase that counts only where its plurals are written so
    "spelling",  # each text is a word and its other spellings: "color colour"
    "none-of",  # not a single, without any: `~` in the words of a claim stands for each
    "locates",  # at, on, near: right after a flaw it tells where that is
    "how-measured",  # inside, across: right after a measure it tells how that was taken
    "done-to-it",  # bent, worn: in a listing, `not bent` as `not cracked`, which -ed and -en show
    "about-year",  # circa: in a listing, a year beside it is one of several years
    "at-latest",  # before, pre: in a listing, a year beside it is later than what is meant
    "at-least",  # over, more than: in a listing, an age told beside it is the least
    "between-years",  # to, late: in a listing, it may stand among years that are told together
    "in-claims",  # one of a family of words that claims name in braces: every, every single
    "no-denial",  # not only, no doubt: in a listing, a negation that denies nothing
    "denied-through",  # really, a, made: in a listing, a denial goes on through it
    "no-claim",  # cannot say whether, in the style of: in a listing, what follows is not claimed
    "condition",  # condition, shape: a grade beside it is that of the whole piece
    "beside-condition",  # vintage, overall: may stand between a grade and the word for condition
    "doubted-after",  # I think: the same, and of the clause before a comma
    "stone-shape",  # heart, kite: a shape in which loose stones are sold
    "answered-no",  # no, sadly not: the same of the question or the field that it answers
    "no-claim-after",  # style, was not tested: in a listing, what stands before is not claimed
    *OF_PEOPLE,
    CUT_IN,  # mother, in memory of: in an inscription on a sheet, the name of nobody
    "as-told",  # according to the seller: the same of a sentence that it opens, with a comma
    "of-kinds",  # was all the rage, is well known for: a sentence that tells of such things
    "relative",  # which, that: a clause of-kinds that begins so leaves the rest of its sentence be
    "of-this",  # this, here, my: such a sentence tells of the piece in hand all the same
    "of-others",  # he, the firm: behind a sentence of-kinds, such a one goes on telling of others
    "history-told",  # history, about the maker: a heading, beneath which others are told of
)

TARGETS = {"absent": "feature", "sound": "wording", "left": "wording"}
"""The roles behind which the name of something stands, each with the kind of entry it is."""

DAMAGE_OF_ONE = "damage-of-one"

RENEWAL = "renewal"

DAMAGE_ROLES = ("damage", DAMAGE_OF_ONE, RENEWAL)
"""Roles of words that tell what is wrong, or that a part is a later one."""

IN_CLAIMS = "in-claims"

OF_LISTINGS = (
    *(IN_CLAIMS, "no-claim", "no-claim-after", "doubted-after", "answered-no"),
    "no-denial",
    *("as-told", "of-kinds", "of-this", "of-others", "history-told"),
)
"""Roles of wordings of listings, the words of which may name a family in braces."""

"""Which stone of the tin fits an empty setting, what to buy otherwise, and stones that differ."""

from __future__ import annotations

import math
from collections.abc import Sequence

from markrules.appraisal.colours import Lab, difference, lab_of_name, lab_of_srgb
from markrules.appraisal.shades import StoneColour, shade_words, srgb, stone_colour
from markrules.appraisal.stone import Measure, Stone, alike, apart_mm, measured, plain
from markrules.appraisal.stone_sizes import StoneSize, nearest_sizes
from markrules.catalogue.records import SpareStone
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation


@dataclass(frozen=True, slots=True)
class StoneFit:
    """A stone of the tin beside the one looked for: how good, from 0 to 1, and why.

    `off_mm` is how far the sizes lie apart, `apart` the CIEDE2000 difference; None where one
    of the two is not known. `rough` is True where a colour went by its family only.
    """

    stone: SpareStone
    score: float
    off_mm: float | None
    apart: float | None
    rough: bool
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StoneAdvice:
    """The fits, best first; what to buy; and cautions of the rules.

    `buy` are size codes, for shapes that have them; `order` says shape, size and colour in words.
    `shades` are the trade's names for the colour, nearest first, where none was asked for.
    """

    fits: tuple[StoneFit, ...]
    buy: tuple[StoneSize, ...]
    cautions: tuple[str, ...]
    order: str = ""
    shades: tuple[str, ...] = ()


def advise(base: KnowledgeBase, wanted: Stone, tin: Sequence[SpareStone]) -> StoneAdvice:
    """The stones of the tin that may fit, what to buy otherwise, and what to mind."""
    order, shades = order_words(base, wanted), shades_near(base, wanted)
    kinds = frozenset(stone_colour(base, each).shade for each in shades)
    fits = [_fit(base, wanted, each, kinds) for each in tin if each.count > 0]
    least = base.setting("stone-fit-least")
    good = sorted(
        (each for each in fits if each is not None and each.score >= least),
        key=lambda each: (_another_colour(base, wanted, each), -each.score, each.stone.id),
    )
    middle = sum(wanted.size_mm) / 2 if wanted.size_mm is not None else 0.0
    buy = nearest_sizes(base, middle) if has_codes(base, wanted) else ()
    return StoneAdvice(tuple(good), buy, _cautions(base), order, shades)


def has_codes(base: KnowledgeBase, wanted: Stone) -> bool:
    """Whether the size codes of the rules are for stones of this shape, by what they are called.

    They are taken to be, where nobody said the shape.
    """
    if wanted.across_mm is not None:
        return False
    titles = [plain(each.title) for each in base.registers.values() if each.kind == "size"]
    shape = plain(wanted.shape)
    return not shape or any(
        alike(base, "shape", shape, word) for title in titles for word in title.split()
    )


def order_words(base: KnowledgeBase, wanted: Stone) -> str:
    """What to ask a seller of stones for: `navette, 10 × 5 mm, red, foil`; empty without a size.

    A colour goes by the trade's one name for it.
    """
    if wanted.size_mm is None:
        return ""
    size = Measure(wanted.size_mm, wanted.across_mm).words
    called = stone_colour(base, wanted.colour)
    named = called.shade or called.coat
    colour = shade_words(base, called) if named else plain(wanted.colour)
    looks = [plain(part) for part in (wanted.cut, wanted.back) if part]
    return ", ".join(part for part in (plain(wanted.shape), size, colour, *looks) if part)


def shades_near(base: KnowledgeBase, wanted: Stone) -> tuple[str, ...]:
    """The trade's names for a colour that was sampled, or only told as red or blue."""
    called = stone_colour(base, wanted.colour)
    if called.shade or not (wanted.lab or called.colour):
        return ()
    kinds = [
        each for each in base.shades.values() if not called.colour or each.of.name == called.colour
    ]
    at = wanted.lab
    if at is None:
        named = lab_of_name(base, wanted.colour)
        at = named.lab if named is not None else None
    if at is None:
        return ()
    far = [(difference(at, lab_of_srgb(*srgb(each))), each.name) for each in kinds]
    most = base.setting("shade-near") if wanted.lab is not None else math.inf
    near = sorted(each for each in far if each[0] <= most)[: int(base.setting("shades-offered"))]
    coat = StoneColour("", coat=called.coat)
    return tuple(
        " ".join(filter(None, (name.replace("-", " "), shade_words(base, coat))))
        for _, name in near
    )


def _another_colour(base: KnowledgeBase, wanted: Stone, fit: StoneFit) -> int:
    """0 where the stone goes by the colour that was asked for, 1 where by a kind of it (siam for
    red), 2 by another, or by none: it comes later, however well the rest fits.

    Where both were sampled, what was measured decides.
    """
    if not wanted.colour or (wanted.lab is not None and fit.stone.lab is not None):
        return 0
    asked, has = stone_colour(base, wanted.colour), stone_colour(base, fit.stone.colour)
    return 0 if asked.same(has) else 1 if asked.holds(has) else 2


def _fit(
    base: KnowledgeBase, wanted: Stone, spare: SpareStone, kinds: frozenset[str]
) -> StoneFit | None:
    """None where the shape is another one or the size lies too far off to fit at all.

    `kinds` are the shades that the trade offers for the colour: one of them is a kind of it.
    """
    if wanted.shape and spare.shape and not alike(base, "shape", wanted.shape, spare.shape):
        return None
    has = _size(base, spare)
    off = apart_mm(wanted.size_mm, has.long if has is not None else None)
    across = apart_mm(wanted.across_mm, has.across if has is not None else None)
    if off is not None and across is not None:
        off = max(off, across)
    tolerance = base.setting("stone-size-near")
    if off is not None and off > base.setting("stone-size-farthest") * tolerance + 1e-9:
        return None
    asked, called = stone_colour(base, wanted.colour), stone_colour(base, spare.colour)
    offered = called.shade in kinds and called.shade != "" and asked.coat == called.coat
    kind = (asked.holds(called) or offered) and wanted.lab is None
    apart, rough = (None, True) if kind else _apart(base, wanted, spare)
    score, words = _size_score(base, off, tolerance)
    untold = across is None and (wanted.across_mm or (has is not None and has.across))
    if untold and off is not None:
        score *= base.setting("stone-size-untold")
        words = (*words, "one of the two sides is not known")
    more = [
        (base.setting("stone-colour-untold"), f"a kind of {plain(wanted.colour)}")
        if kind
        else _colour_score(base, apart, rough),
        _coat_score(base, wanted, spare),
        _same_score(base, "back", wanted.back, spare.back),
        _same_score(base, "cut", wanted.cut, spare.cut),
    ]
    for part, word in more:
        score *= part
        words += (word,) if word else ()
    return StoneFit(spare, round(score, 6), off, apart, rough, words)


def _size(base: KnowledgeBase, spare: SpareStone) -> Measure | None:
    if spare.size_code:
        return measured(base, spare.size_code)
    return Measure((spare.size_mm, spare.size_mm)) if spare.size_mm is not None else None


def _size_score(
    base: KnowledgeBase, off: float | None, tolerance: float
) -> tuple[float, tuple[str, ...]]:
    if off is None:
        return base.setting("stone-size-untold"), ("size not known",)
    if off <= 1e-9:  # sizes are differences of decimals, which floats hold nearly
        return 1.0, ("size fits",)
    if off <= tolerance + 1e-9:
        return base.setting("stone-size-tried"), (f"{off:g} mm off: try it",)
    return base.setting("stone-size-unlikely"), (f"{off:g} mm off: likely too much",)


def _apart(base: KnowledgeBase, wanted: Stone, spare: SpareStone) -> tuple[float | None, bool]:
    one, one_rough = _lab(base, wanted.lab, wanted.colour)
    other, other_rough = _lab(base, spare.lab, spare.colour)
    if one is None or other is None:
        return None, False
    same = stone_colour(base, wanted.colour).same(stone_colour(base, spare.colour))
    if one_rough and other_rough and wanted.colour and same:
        return 0.0, False
    return difference(one, other), one_rough or other_rough


def _lab(base: KnowledgeBase, lab: Lab | None, colour: str) -> tuple[Lab | None, bool]:
    if lab is not None:
        return lab, False
    named = lab_of_name(base, colour) if colour else None
    return (named.lab, not named.exact) if named is not None else (None, False)


def _colour_score(base: KnowledgeBase, apart: float | None, rough: bool) -> tuple[float, str]:
    """Falls by half for each further `stone-colour-half` of difference."""
    if apart is None:
        return base.setting("stone-colour-untold"), "colour not known"
    half = base.setting("stone-colour-half")
    about = "colour by name only, " if rough else "colour "
    return float(0.5 ** (apart / half)), f"{about}{apart:.1f} apart"


def _coat_score(base: KnowledgeBase, wanted: Stone, spare: SpareStone) -> tuple[float, str]:
    """A coat over the colour counts where both colours were told in words."""
    if not wanted.colour or not spare.colour:
        return 1.0, ""
    one, other = (stone_colour(base, each).coat for each in (wanted.colour, spare.colour))
    return (1.0, "") if one == other else (base.setting("stone-other-coat"), "another coat")


def _same_score(base: KnowledgeBase, what: str, one: str, other: str) -> tuple[float, str]:
    if not one or not other:
        return (1.0, "") if not one else (base.setting("stone-look-untold"), f"{what} not known")
    if alike(base, what, one, other):
        return 1.0, f"same {what}"
    return base.setting(f"stone-other-{what}"), f"another {what}"


def _cautions(base: KnowledgeBase) -> tuple[str, ...]:
    """What the rules say to mind where a stone is wanting: cautions and the mend's own."""
    from markrules.appraisal.findings import FAULT, cautions_with, faults_named

    wanting = sorted(faults_named(base, "stone-is-wanting"))
    seen = tuple(Observation(FAULT, name) for name in wanting)
    said = [base.cautions[name].say for name in cautions_with(base, seen)]
    own = [base.faults[name] for name in wanting if name in base.faults]
    said += [text for fault in own for text in (fault.mend_how, fault.caution) if text]
    return tuple(dict.fromkeys(said))

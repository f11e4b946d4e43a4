"""Whether a signature can be trusted: names that no list holds, look-alikes, and listed marks.

Prints one table. The surnames are those of the United States census of 1990 as the package
`names` ships them; only the fifth of them that the name model was not trained on is used (see
`held_out`), less those that some listed maker bears. Damage is made by `damage`.

    python tests/bench/bench_reach.py [--rules FOLDER] [--number 2000] [--seed 1]
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
import zlib
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from importlib import resources
from pathlib import Path

from damage import _CONFUSIONS, KINDS
from metal_phrases import FURTHER, QUALIFIED, SPELLINGS

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.marks.entries import in_other_words
from markrules.marks.letters import folded
from markrules.marks.metal import find_metal_marks
from markrules.marks.search import build_small
from markrules.reading.reader import Reader, Request

COMMON = 20_000
"""Surnames are drawn from so many of the commonest."""


def held_out(name: str) -> bool:
    """Whether a name is kept out of what the name model learns from."""
    return zlib.crc32(name.encode()) % 5 == 0


def census_surnames() -> list[str]:
    """Surnames of the census of 1990, the commonest first, in capitals."""
    text = resources.files("names").joinpath("dist.all.last").read_text()
    return [line.split()[0] for line in text.splitlines() if line.strip()]


def letters_of(base: KnowledgeBase) -> set[str]:
    """The folded letters of all names and marks of makers, whole and word by word."""
    found: set[str] = set()
    for maker in base.makers.values():
        for text in (maker.title, *maker.also, *(mark.text for mark in maker.marks)):
            found.add(folded(text))
            found.update(map(folded, text.replace("/", " ").replace("-", " ").split()))
    return found


def makers_of(reader: Reader, note: str) -> tuple[str, float, float]:
    """The first listed maker, its probability, and that of a maker not in the rules."""
    shares = reader.read(Request(note=note, next_looks=0)).makers
    listed = [each for each in shares if each.maker]
    unknown = next((each.probability for each in shares if not each.maker), 0.0)
    if not listed:
        return "", 0.0, unknown
    return listed[0].maker, listed[0].probability, unknown


def above(values: Iterable[float], edge: float) -> str:
    """The share of the values above an edge, in words."""
    listed = list(values)
    return f"{sum(value > edge for value in listed) / max(1, len(listed)):.2%}"


def row(name: str, value: str, wanted: str = "") -> None:
    """One line of the table."""
    print(f"  {name:58}{value:>14}   {wanted}", flush=True)


def unlisted(reader: Reader, number: int, rng: random.Random) -> None:
    """Legible surnames that no listed maker bears, in a note."""
    known = letters_of(reader.base)
    names = [name for name in census_surnames()[:COMMON] if held_out(name) and name not in known]
    chosen = rng.sample(names, min(number, len(names)))
    found = [
        (name, *makers_of(reader, f'brooch, rhinestones, rollover catch, marked "{name}"'))
        for name in chosen
    ]
    print(f"\nlegible surnames in no list, {len(chosen):,}")
    row("given to a listed maker above 50%", above((each[2] for each in found), 0.5), "1% or fewer")
    row("above 80%", above((each[2] for each in found), 0.8), "0.25% or fewer")
    worst = sorted(found, key=lambda each: -each[2])[:8]
    print("  worst:", ", ".join(f"{name} {maker} {share:.0%}" for name, maker, share, _ in worst))


def own_marks(base: KnowledgeBase, least: int) -> list[tuple[str, str, float]]:
    """(maker, own letters, weight) of each listed mark with at least so many letters."""
    entries = build_small(base).marks.entries
    return [
        (each.maker, each.own, each.weight)
        for each in entries
        if len(each.own) >= least and not each.words_only and each.own.isalpha()
    ]


def as_struck(base: KnowledgeBase) -> list[tuple[str, str, float]]:
    """The marks of `own_marks` of four letters and more, with a space between words."""
    words = {}
    for each in build_small(base).marks.entries:
        parts = [folded(part) for part in each.text.replace("/", " ").replace("-", " ").split()]
        if "".join(parts) == each.own:
            words[each.maker, each.own] = " ".join(part for part in parts if part)
    return [
        (maker, words.get((maker, own), own), weight) for maker, own, weight in own_marks(base, 4)
    ]


def of_longer_names(base: KnowledgeBase) -> None:
    """Surnames of the census that are one word of a listed name and no name by themselves, read
    alone and in full: how surely they are given to a listed maker, by how common they are.
    """
    search = build_small(base)
    whole, words = set[str](), set[str]()
    for maker in base.makers.values():
        for text in (maker.title, *maker.also, *(mark.text for mark in maker.marks)):
            parts = [folded(part) for part in text.partition(" (")[0].replace("/", " ").split()]
            whole.add("".join(parts))
            words.update(part for part in parts if len(parts) > 1 and len(part) >= 4)
    print("\na common surname that is one word of a listed name")
    names = census_surnames()
    for first, end in ((0, 500), (500, 2000), (2000, 5000)):
        found = [
            max((each.probability for each in search.search(name, 3).results), default=0.0)
            for name in names[first:end]
            if name in words - whole
        ]
        row(f"of the {first:,} to {end:,} commonest ({len(found)}): above 50%", above(found, 0.5))
        row("    above 80%", above(found, 0.8))


def look_alikes(reader: Reader, number: int, rng: random.Random) -> None:
    """Listed marks of four letters and more, one letter exchanged."""
    marks = own_marks(reader.base, 4)
    known = letters_of(reader.base)
    for kind in ("any letter", "a look-alike letter"):
        shares = []
        while len(shares) < number // 4:
            _, text, _ = rng.choice(marks)
            place = rng.randrange(len(text))
            if kind == "any letter":
                other = rng.choice("ABCDEFGHIJKLMNOPRSTUVWYZ")
            else:
                line = _CONFUSIONS.get(text[place], {"X": 1.0})
                other = rng.choices(list(line), list(line.values()))[0]
            name = text[:place] + other + text[place + 1 :]
            if name in known or not other.isalpha():
                continue
            shares.append(makers_of(reader, f'brooch, marked "{name}"')[1])
        row(
            f"one exchanged for {kind} ({len(shares)}): above 80%",
            above(shares, 0.8),
            "10% or fewer",
        )


def in_full(reader: Reader) -> None:
    """Every listed mark, read in full; and of those that do not come first, what stands before."""
    print("\nlisted marks read in full")
    for least in (2, 4):
        marks = own_marks(reader.base, least)
        owners: dict[str, set[str]] = {}
        for maker, own, _ in marks:
            owners.setdefault(own, set()).add(maker)
        shares: list[float] = []
        before: Counter[str] = Counter()
        named = 0
        for maker, own, _ in marks:
            reading = reader.read(Request(note="brooch", marks=(own,), next_looks=0))
            by_maker = {each.maker: each.probability for each in reading.makers}
            shares.append(by_maker.get(maker, 0.0))
            others = {name: p for name, p in by_maker.items() if name != maker}
            named += shares[-1] >= max((p for name, p in others.items() if name), default=0.0)
            rival = max(others, key=lambda name: others[name], default=maker)
            if shares[-1] < others.get(rival, 0.0):
                whose = "with the same letters" if len(owners[own]) > 1 else "of other letters"
                before[f"a listed maker {whose}" if rival else "a maker not in the rules"] += 1
        first = len(marks) - before.total()
        row(
            f"{least} letters and more ({len(marks)}): maker first",
            f"{first / len(marks):.1%}",
            "97% or more",
        )
        row("    first of the listed makers", f"{named / len(marks):.1%}")
        row("    median probability", f"{statistics.median(shares):.3f}", ".95 or more")
        for what, count in before.most_common():
            row(f"    before the maker stands {what}", f"{count}")


def fits_of_heads(texts: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    """For each head of four letters the makers with a text that begins so."""
    fits: dict[str, set[str]] = {}
    for maker, text in texts:
        fits.setdefault(text[:4], set()).add(maker)
    return fits


def listed_texts(base: KnowledgeBase) -> Iterable[tuple[str, str]]:
    """(maker, letters) of all that the search knows makers by: marks, names, words of both."""
    search = build_small(base)
    entries = search.marks.entries
    words = search.words
    for each in (*entries, *in_other_words(base, entries, words)):
        yield from ((each.maker, text) for text in {each.own, each.whole} if text)


def heads(reader: Reader) -> None:
    """Four-letter heads of listed marks that one listed maker alone fits."""
    marks = own_marks(reader.base, 4)
    by_mark = fits_of_heads((maker, own) for maker, own, _ in marks)
    by_any = fits_of_heads(listed_texts(reader.base))
    long = {own[:4] for _, own, _ in marks if len(own) > 5}
    found: list[tuple[bool, bool, float]] = []
    for head, makers in by_mark.items():
        if len(makers) == 1 and head in long:
            (maker,) = makers
            first, share, unknown = makers_of(reader, f"brooch, marked {head}...")
            leads = first == maker and share > unknown
            alone = by_any[head] == makers
            found.append((leads, alone, share if first == maker else 0.0))
    only = [leads for leads, alone, _ in found if alone]
    every = [leads for leads, _, _ in found]
    row(f"four-letter heads of one listed maker ({len(only)}): leads", f"{_mean(only):.1%}", "all")
    row(f"    of one maker's marks, names apart ({len(every)})", f"{_mean(every):.1%}")
    row("    median probability", f"{statistics.median(share for *_, share in found):.3f}")


def ceiling(reader: Reader) -> None:
    """How many of those heads could lead at most, in the mix of `as_measured`: those that begin
    more of the marks of their maker than of the names of makers in no list, whoever reads them.
    """
    marks = own_marks(reader.base, 4)
    by_mark = fits_of_heads((maker, own) for maker, own, _ in marks)
    by_any = fits_of_heads(listed_texts(reader.base))
    long = {own[:4] for _, own, _ in marks if len(own) > 5}
    heads = [
        head for head, makers in by_mark.items() if makers == by_any[head] and len(makers) == 1
    ]
    weight: Counter[str] = Counter()
    for _, own, share in marks:
        weight[own[:4]] += share
    known = letters_of(reader.base)
    surnames = Counter(name[:4] for name in census_surnames()[:COMMON] if name not in known)
    given = Counter(name[:4] for name in given_names(known))
    first_given = GIVEN + TWO_NAMES
    leads = 0
    heads = [head for head in heads if head in long]
    for head in heads:
        names = (1 - first_given) * surnames[head] / surnames.total()
        names += first_given * given[head] / given.total()
        leads += LISTED * weight[head] / weight.total() > (1 - LISTED) * names
    row("    could lead at most", f"{leads / len(heads):.1%}")


def left_out(reader: Reader) -> None:
    """Each maker's names and marks of four letters and more, where the rules lack the maker."""
    base, folds, found, asked = reader.base, 25, [], 0
    names = sorted(base.makers)
    random.Random(2040).shuffle(names)
    for fold in range(folds):
        gone = set(names[fold::folds])
        kept = {name: maker for name, maker in base.makers.items() if name not in gone}
        search = build_small(replace(base, makers=kept, version=f"without {fold}"))
        for maker in (base.makers[name] for name in sorted(gone)):
            texts = (maker.title, *maker.also, *(mark.text for mark in maker.marks))
            for text in {folded(text): text for text in texts if len(folded(text)) > 3}.values():
                if not search.is_listed(text):
                    asked += 1
                    results = search.search(text.translate(NO_SYNTAX), 1).results
                    found += [each.probability for each in results]
    print(f"\nnames and marks of a maker that is left out, {asked:,}")
    row("given to another above 50%", above([*found, *[0.0] * (asked - len(found))], 0.5))
    row("above 80%", above([*found, *[0.0] * (asked - len(found))], 0.8))


NO_SYNTAX = str.maketrans(dict.fromkeys("()[]{}?*~<>/"))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / max(1, len(values))


def recall(base: KnowledgeBase, number: int, rng: random.Random) -> None:
    """Partial marks: the right maker among the first ten, by kind of damage."""
    search = build_small(base)
    marks = [(maker, own) for maker, own, _ in own_marks(base, 6)]
    print("\npartial marks of six letters and more        first    of ten")
    for kind, damage in KINDS.items():
        first = ten = 0
        for _ in range(number):
            maker, text = rng.choice(marks)
            found = [each.maker for each in search.search(damage(text, rng).query, 10).results]
            first += found[:1] == [maker]
            ten += maker in found
        print(f"  {kind:40}{first / number:8.3f}{ten / number:10.3f}", flush=True)


LISTED = 0.6
"""Of marks of four letters and more, those whose maker the rules have. Measured on 213 marks that
museums, dealers, sellers and people with one piece told of: 95 of 153 (62%); of the other 60, of
one to three letters, 24."""

SINGLE, GIVEN, TWO_NAMES, PARTNERS = 0.45, 0.15, 0.20, 0.10
"""Of the marks of four letters and more that are in no list: one surname; one other name, for
which a given name stands; a given name and a surname; two surnames. The rest are a surname with
words of a firm. Rounded from the 58 of the same marks: 35 of one word, 23 of several."""

FIRM_WORDS = ("CO", "& CO", "& SONS", "BROS")


def given_names(known: set[str]) -> list[str]:
    """Given names of the census of 1990, of the fifth that is held out, less those listed."""
    found = []
    for file in ("dist.female.first", "dist.male.first"):
        for line in resources.files("names").joinpath(file).read_text().splitlines():
            name = line.split()[0] if line.strip() else ""
            if len(name) > 3 and held_out(name) and name not in known:
                found.append(name)
    return found


def as_measured(base: KnowledgeBase) -> Callable[[int, random.Random], tuple[str, str]]:
    """Draws marks as they were met: listed ones by their weight, others of several kinds."""
    known = letters_of(base)
    names = [name for name in census_surnames()[:COMMON] if held_out(name) and name not in known]
    given, marks = given_names(known), as_struck(base)
    weights = [weight for *_, weight in marks]

    def drawn(at: int, rng: random.Random) -> tuple[str, str]:
        if rng.random() < LISTED:
            maker, text, _ = rng.choices(marks, weights)[0]
            return maker, text
        kind, surname = rng.random(), rng.choice(names)
        if kind < SINGLE:
            return "", surname
        if kind < SINGLE + GIVEN:
            return "", rng.choice(given)
        if kind < SINGLE + GIVEN + TWO_NAMES:
            return "", f"{rng.choice(given)} {surname}"
        if kind < SINGLE + GIVEN + TWO_NAMES + PARTNERS:
            return "", f"{surname} & {rng.choice(names)}"
        return "", f"{surname} {rng.choice(FIRM_WORDS)}"

    return drawn


def evenly(base: KnowledgeBase) -> Callable[[int, random.Random], tuple[str, str]]:
    """Draws half listed marks, each as often as the next, and half surnames in no list."""
    known = letters_of(base)
    names = [name for name in census_surnames()[:COMMON] if held_out(name) and name not in known]
    marks = as_struck(base)

    def drawn(at: int, rng: random.Random) -> tuple[str, str]:
        return rng.choice(marks)[:2] if at % 2 == 0 else ("", rng.choice(names))

    return drawn


def reliability(
    reader: Reader,
    number: int,
    rng: random.Random,
    drawn: Callable[[int, random.Random], tuple[str, str]],
    mix: str,
) -> None:
    """The first answer's probability against how often it is right, over a mix, half damaged."""
    tenths: dict[int, list[tuple[float, bool]]] = {}
    apart: dict[tuple[bool, int], list[tuple[float, bool]]] = {}
    for at in range(number):
        maker, text = drawn(at, rng)
        query = text
        if at % 4 > 1 and len(text) > 4:
            query = rng.choice(WRITTEN)(text, rng)
        shares = reader.read(Request(note="brooch", marks=(query,), next_looks=0)).makers
        first = max(shares, key=lambda each: each.probability)
        stated = min(first.probability, 1.0)
        said = stated, first.maker == maker
        tenths.setdefault(min(int(stated * 10), 9), []).append(said)
        apart.setdefault((bool(first.maker), min(int(stated * 5), 4)), []).append(said)
    print(f"\nreliability of the first answer over {number:,}, {mix}")
    widest = 0.0
    for tenth, each in sorted(tenths.items()):
        stated = sum(one for one, _ in each) / len(each)
        right = sum(one for _, one in each) / len(each)
        noise = math.sqrt(stated * (1 - stated) / len(each))
        if len(each) >= 30:
            widest = max(widest, abs(stated - right))
        print(
            f"  {tenth / 10:.1f}  {len(each):6}  says {stated:.3f}  is {right:.3f}"
            f"  gap {stated - right:+.3f}  by chance {noise:.3f}"
        )
    row("largest gap in a tenth of 30 or more", f"{widest:.3f}", "0.05")
    for (listed, fifth), each in sorted(apart.items()):
        stated, right = (sum(part) / len(each) for part in zip(*each, strict=True))
        answer = "a listed maker" if listed else "a maker not in the rules"
        print(f"  {answer:26}{fifth / 5:.1f} {len(each):6}  says {stated:.3f}  is {right:.3f}")


def both_mixes(reader: Reader, number: int, seed: int) -> None:
    """Reliability over marks as they were met, and over an even mix."""
    mixes = (
        (as_measured(reader.base), f"{LISTED:.0%} of them listed and drawn by weight"),
        (evenly(reader.base), "half of them listed, the others surnames"),
    )
    for drawn, mix in mixes:
        reliability(reader, number, random.Random(seed), drawn, mix)


def _noticed(kind: str) -> Callable[[str, random.Random], str]:
    def written(text: str, rng: random.Random) -> str:
        for _ in range(20):
            query = KINDS[kind](text, rng).query
            if "." in query or "?" in query:
                return query
        return f"{text[: max(2, len(text) * 3 // 5)]}..."

    return written


WRITTEN: Sequence[Callable[[str, random.Random], str]] = tuple(
    _noticed(kind) for kind in ("tail lost", "head lost", "middle lost", "half unread", "mixed")
)
"""Damage as a person who sees it writes it down: with `?` or `...`."""


def metals(base: KnowledgeBase) -> None:
    """Phrases of metal content with a word that qualifies: none is solid."""
    print("\nmetal phrases with a qualifying word")
    phrases = (*QUALIFIED, *FURTHER, *SPELLINGS)
    solid = [
        phrase
        for phrase in phrases
        if any(str(each.how) == "solid" for each in find_metal_marks(phrase, base))
    ]
    row(f"of {len(phrases)}: called solid", str(len(solid)), "none")
    if solid:
        print("  ", "; ".join(solid))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--rules", type=Path, default=None)
    parser.add_argument("--number", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    chosen = parser.parse_args()
    base, _ = load([chosen.rules or shipped_rules()], cache_folder=None)
    reader = Reader(base, last_year=2026)
    parts: dict[str, Callable[[], None]] = {
        "unlisted": lambda: unlisted(reader, chosen.number, random.Random(chosen.seed)),
        "longer": lambda: of_longer_names(base),
        "alike": lambda: look_alikes(reader, chosen.number, random.Random(chosen.seed)),
        "full": lambda: in_full(reader),
        "heads": lambda: heads(reader),
        "ceiling": lambda: ceiling(reader),
        "left-out": lambda: left_out(reader),
        "recall": lambda: recall(base, 150, random.Random(chosen.seed)),
        "reliability": lambda: both_mixes(reader, chosen.number, chosen.seed),
        "metals": lambda: metals(base),
    }
    for name, part in parts.items():
        if not chosen.only or name in chosen.only.split(","):
            start = time.perf_counter()
            part()
            print(f"  ({time.perf_counter() - start:.0f} s)")


if __name__ == "__main__":
    main()

"""Trains the model of names that are in no list, `markrules/marks/name_model.bin`.

Sources, all open, as registry packages ship them:

    names 0.3.0 (MIT)           surnames and given names of the United States census of 1990, a work
                                of the federal government in the public domain
    Faker 40.63.0 (MIT)         surnames, given names, towns and company words of 25 countries
    english-words 2.0.2 (MIT)   the words of the Collaborative International Dictionary of English
                                (GCIDE; only letter counts are taken from it)

A name counts with the square root of how often the census met it: makers are not drawn as the
population is, and a rare surname signs its work as well. A fifth of the surnames is kept out
(`bench_reach.held_out`), and the bits that these cost are printed.

The model is an interpolated letter model with Witten and Bell's weights (IEEE Transactions on
Information Theory 37, 1991, method C) of ORDER letters. What a letter gains after a context over
the shorter context is kept where it was met MET times or more; what is left falls to the shorter
context, so every row sums to 1.

A second list, `usual_names.txt`, tells how often people bear the commonest names, by the census: in
the model of letters a common one is as rare as its square root makes it.

Run: pip install names Faker english-words; python tests/bench/train_names.py OUT.bin [OUT.txt]
"""

from __future__ import annotations

import argparse
import re
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from importlib import import_module, resources
from math import log2
from pathlib import Path

from bench_reach import held_out

from markrules.marks.letters import folded
from markrules.marks.name_model import END, ORDER, START, NameModel, packed

WORDS = 120_000
"""Words that all sources together count for."""

MET = 2.0
"""Fewer times than this after a context of two letters or more, and a letter is left out."""

SHARES = {
    "census surnames": 0.44,
    "other surnames": 0.18,
    "given names": 0.15,
    "words": 0.09,
    "towns": 0.04,
    "company words": 0.10,
}
"""What part of the words on makers' marks each source stands for. Of the 84 words on 58 marks that
were counted (`bench_reach.SINGLE`) 55 are surnames, 12 given names beside one, 9 other names alone,
for which words and towns stand, and 6 words of a firm."""

LOCALES = [
    *("cs_CZ", "da_DK", "de_AT", "de_CH", "de_DE", "en_AU", "en_CA", "en_GB", "en_IE", "en_US"),
    *("es_ES", "es_MX", "fi_FI", "fr_CA", "fr_CH", "fr_FR", "hu_HU", "it_IT", "nl_BE", "nl_NL"),
    *("no_NO", "pl_PL", "pt_PT", "sk_SK", "sv_SE"),
]
FIRMS = {"CO": 5, "&": 5, "SONS": 3, "INC": 2, "LTD": 2, "BROS": 2} | dict.fromkeys(
    (
        *("CORP", "BROTHERS", "SON", "MFG", "GMBH", "AG", "KG", "FILS", "FRERES", "CIE", "SA"),
        *("SPA", "SRL", "AS", "APS", "AB", "OY", "BV", "NV", "PLC", "LLC", "THE", "DE", "OF"),
        *("NY", "JR", "ET", "UND", "AND"),
    ),
    1,
)
"""Words of firms, with how often they count."""


def census(file: str) -> Counter[str]:
    """Names of one list of the census, with the square root of how often they are met."""
    found: Counter[str] = Counter()
    for line in resources.files("names").joinpath(file).read_text().splitlines():
        if line.strip():
            name, share, *_ = line.split()
            found[name] += max(float(share), 0.0005) ** 0.5
    return found


LEAST_USUAL = 1_500
"""Of a hundred million words that are names, a name of the second list is so many or more."""

USUAL_FILES = {"dist.all.last": 0.44, "dist.female.first": 0.075, "dist.male.first": 0.075}
"""Lists of the census, with what they stand for of the words on marks (see SHARES)."""


def usual_names() -> str:
    """The list of common names: each with its number in a hundred million, commonest first. Names
    that may not stand in the project are taken out of it afterwards.
    """
    found: defaultdict[str, float] = defaultdict(float)
    for file, share in USUAL_FILES.items():
        for line in resources.files("names").joinpath(file).read_text().splitlines():
            if line.strip():
                name, percent, *_ = line.split()
                found[name] += share / sum(USUAL_FILES.values()) * float(percent) * 1_000_000
    numbers = {name: round(number) for name, number in found.items()}
    kept = sorted((-number, name) for name, number in numbers.items() if number >= LEAST_USUAL)
    return "".join(f"{name} {-number}\n" for number, name in kept)


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from value
    elif isinstance(value, Iterable):
        for each in value:
            yield from _texts(each)


def faked(kind: str, pattern: str) -> Counter[str]:
    """Words of Faker's providers of a kind, from the attributes whose name fits the pattern."""
    found: Counter[str] = Counter()
    for locale in LOCALES:
        try:
            provider = import_module(f"faker.providers.{kind}.{locale}").Provider
        except ModuleNotFoundError:
            continue
        for name in dir(provider):
            if re.fullmatch(pattern, name):
                for text in _texts(getattr(provider, name)):
                    for word in re.split(r"[\s/]+", text):
                        if "{" not in word and folded(word).isascii():
                            found[folded(word)] = 1
    return found


def sources() -> dict[str, Counter[str]]:
    """The words of each source with their weights."""
    import pickle

    dictionary = resources.files("english_words").joinpath("data/gcide_alpha_lower.pickle")
    words = pickle.loads(dictionary.read_bytes())
    return {
        "census surnames": census("dist.all.last"),
        "other surnames": faked("person", r"last_names?(_\w+)?"),
        "given names": census("dist.female.first")
        + census("dist.male.first")
        + Counter(dict.fromkeys(faked("person", r"first_names?(_\w+)?"), 0.01)),
        "words": Counter({word.upper(): 1 for word in words if 3 <= len(word) <= 9}),
        "towns": faked("address", r"(cities|city_names?|towns?)(_\w+)?"),
        "company words": Counter(FIRMS) + faked("company", r"company_suffixes"),
    }


def weighted() -> dict[str, float]:
    """Every word to learn from, with its weight."""
    total: defaultdict[str, float] = defaultdict(float)
    for name, words in sources().items():
        kept = {
            word: weight
            for word, weight in words.items()
            if word and not (name.endswith("surnames") and held_out(word))
        }
        scale = SHARES[name] * WORDS / sum(kept.values())
        print(f"{name:18}{len(kept):8,} words")
        for word, weight in sorted(kept.items()):
            total[word] += weight * scale
    return total


def gains(words: dict[str, float]) -> dict[str, dict[str, float]]:
    """For each context, what each letter after it gains over the shorter context."""
    counts: defaultdict[str, defaultdict[str, float]] = defaultdict(lambda: defaultdict(float))
    for word, weight in words.items():
        text = START + word + END
        for at in range(1, len(text)):
            for length in range(min(at, ORDER) + 1):
                counts[text[at - length : at]][text[at]] += weight
    found = {}
    for context, after in counts.items():
        kinds = sum(min(1.0, count) for count in after.values())
        total = sum(after.values()) + kinds
        least = MET if len(context) > 1 else 0.0
        kept = {a: count / total for a, count in after.items() if count >= least}
        if kept:
            found[context] = kept
    return found


def main() -> None:
    """Train, write, and print what held-out surnames cost."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("usual", type=Path, nargs="?")
    chosen = parser.parse_args()
    if chosen.usual:
        chosen.usual.write_text(usual_names(), encoding="ascii")
    data = zlib.compress(packed(gains(weighted())), 9)
    chosen.out.write_bytes(data)
    model = NameModel(zlib.decompress(data))
    names = [name for name in census("dist.all.last") if held_out(name)][:4000]
    bits = sorted(-log2(model.word(name)) for name in names)
    print(f"{len(data):,} bytes; bits of held-out surnames: median {bits[len(bits) // 2]:.1f}")


if __name__ == "__main__":
    main()

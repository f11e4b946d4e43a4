"""Invented rule texts of any size, the same for the same seed: for benchmarks and large tests."""

from __future__ import annotations

from random import Random

_NOUNS = """
    collar hinge tube hook plate rivet loop spring lever bar disc wire claw cup foil paste
    lacquer enamel glass seam edge back frame gallery bezel prong stem nut screw sleeve
"""
WORDS = tuple(_NOUNS.split())


def rules(entries: int, seed: int = 1) -> str:
    """About that many invented entries of every common kind, without errors."""
    random = Random(seed)
    share = {
        "source": entries // 10,
        "feature": entries // 20,
        "maker": entries * 3 // 10,
        "sign": entries // 20,
        "finding": entries // 50,
    }
    texts = [_foundations()]
    features = [_Feature(number, random) for number in range(share["feature"])]
    texts += [_source(number, random) for number in range(share["source"])]
    texts += [feature.text for feature in features]
    texts += [_maker(number, share["source"], random) for number in range(share["maker"])]
    texts += [_sign(number, features, random) for number in range(share["sign"])]
    texts += [_finding(number, features, random) for number in range(share["finding"])]
    clues = entries - 4 - len(texts)
    texts += [_clue(number, features, share["source"], random) for number in range(clues)]
    return "\n".join(texts)


def _foundations() -> str:
    return (
        'trust strong\n    misread 6%\n    why "Invented."\n'
        'piece brooch\n    also "pin"\n'
        'family shape\n    overlap 60%\n    why "Invented."\n'
        'commonness often\n    weight 8\n    why "Invented."\n    cite common-practice\n'
    )


def _phrase(random: Random, count: int) -> str:
    return " ".join(random.choice(WORDS) for _ in range(count))


def _source(number: int, random: Random) -> str:
    return (
        f"source source-{number}\n"
        f'    title  "{_phrase(random, 6)}"\n'
        f"    kind   book\n    year   {random.randint(1900, 2020)}\n"
        f'    where  "page {number}"\n'
    )


class _Feature:
    """An invented feature with its values."""

    def __init__(self, number: int, random: Random) -> None:
        self.name = f"feature-{number}"
        self.values = [f"value-{value}" for value in range(random.randint(3, 8))]
        lines = [
            f"feature {self.name}",
            f'    ask    "Which {_phrase(random, 4)}?"',
            "    on     brooch",
            "    refit  5%",
            "    describes",
        ]
        for value in self.values:
            lines.append(f'    value {value} "{_phrase(random, 6)}"')
            lines.append(f'        also  "{_phrase(random, 2)} {number} {value}"')
            lines.append("        share 10%")
        self.text = "\n".join(lines) + "\n"


def _condition(features: list[_Feature], random: Random) -> str:
    def one() -> str:
        feature = random.choice(features)
        if random.random() < 0.2:
            return f"{feature.name} is one of ({', '.join(feature.values[:3])})"
        return f"{feature.name} is {random.choice(feature.values)}"

    roll = random.random()
    if roll < 0.6:
        return one()
    if roll < 0.8:
        return f"{one()} and {one()}"
    if roll < 0.9:
        return f'({one()} or {one()}) and not mark says "{random.choice(WORDS).upper()}"'
    return f"at least 2 of ({one()}, {one()}, {one()})"


def _clue(number: int, features: list[_Feature], sources: int, random: Random) -> str:
    first = random.randint(1800, 1950)
    return (
        f"clue clue-{number}\n"
        f"    when   {_condition(features, random)}\n"
        f"    made   from {first}, mostly {first + 10} to {first + 40}, until {first + 90}\n"
        "    trust  strong\n    family shape\n"
        f'    misleads "{_phrase(random, 8)}"\n'
        f'    why    "{_phrase(random, 10)}"\n           "{_phrase(random, 10)}"\n'
        f'    cite   source-{random.randrange(sources)} "p. {number}", common-practice\n'
    )


def _maker(number: int, sources: int, random: Random) -> str:
    lines = [
        f"maker maker-{number}",
        f'    title   "{_phrase(random, 2).title()} {number}"',
        '    city    "Springfield"',
        f"    works   from 19{random.randint(10, 40)}, mostly 1945 to 1960",
        "    common  often",
        f"    cite    source-{random.randrange(sources)}",
    ]
    for mark in range(random.randint(1, 4)):
        lines += [
            f"    mark mark-{mark}",
            f'        text   "{_phrase(random, 2).upper()} / {number}"',
            "        form   block",
            "        method struck",
            f"        used   mostly 19{random.randint(30, 60)} to 1970",
            f"        cite   source-{random.randrange(sources)}",
        ]
    return "\n".join(lines) + "\n"


def _sign(number: int, features: list[_Feature], random: Random) -> str:
    return (
        f"sign sign-{number}\n    when   {_condition(features, random)}\n"
        f'    better strong\n    say    "{_phrase(random, 8)}"\n    cite   common-practice\n'
    )


def _finding(number: int, features: list[_Feature], random: Random) -> str:
    before = f" and found finding-{number - 1}" if number % 3 == 1 else ""
    return (
        f"finding finding-{number}\n    when  {_condition(features, random)}{before}\n"
        f'    say   "{_phrase(random, 8)}"\n'
    )

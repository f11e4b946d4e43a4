"""Invented marks for benchmarks: names, initials and firms, from a seeded generator.

Nothing here comes from the scorer or from any list of real makers.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator


def _listed(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(","))


_ONSETS = _listed(
    """
    B, BL, BR, C, CH, CL, CR, D, DR, F, FL, FR, G, GL, GR, H, J, K, KN, L, M, N, P, PL, PR,
    QU, R, S, SCH, SH, SK, SL, SM, SP, ST, SW, T, TH, TR, V, W, WH, Z
    """
)
_VOWELS = _listed(
    """
    A, A, A, AI, AU, E, E, E, EA, EE, EI, I, I, IE, O, O, OA, OO, OU, U, Y
    """
)
_CODAS = _listed(
    """
    B, CK, D, F, G, GE, K, L, LD, LL, LM, M, MP, N, ND, NG, NK, NT, P, R, RD, RK, RN, RT, S,
    SH, SS, ST, T, TH, TT, X, ZZ
    """
)
_ENDS = _listed(
    """
    A, AM, AN, BERG, BY, DALE, E, EL, ELLI, ELLO, EN, ER, ET, EY, FIELD, FORD, HAM, I, IAN,
    INI, LEY, LIN, MAN, MANN, O, ON, OTT, OV, OWSKI, S, SEN, SKI, SON, STEIN, STONE, TON,
    WELL, WOOD, WORTH, Y
    """
)
_GIVEN = _listed(
    """
    ADA, ALBERT, ALICE, ANNA, ARNO, BELLA, BRUNO, CARLA, CLARA, CONRAD, DORA, EDGAR, ELSA,
    EMIL, ERNA, ERIC, FRIDA, GINO, GRETA, HUGO, IDA, IRMA, JULES, KARIN, LEO, LINA, LOUIS,
    MARIE, MAX, MILO, NINA, NORA, OSCAR, OTTO, PAUL, RITA, ROSA, RUTH, SELMA, THEO, URSULA,
    VERA, VICTOR, WALTER, WANDA
    """
)
_TRADES = _listed(
    """
    CRAFT, CREATIONS, JEWELRY, JEWELS, MFG, NOVELTY, ORIGINALS, PEARLS, PRODUCTS,
    STUDIO
    """
)
_FIRMS = _listed(
    """
    & CO, & SON, & SONS, BROS, CO, CORP, INC, LTD, & FILS, GMBH
    """
)
_PLACES = _listed(
    """
    N.Y., PARIS, LONDON, CHICAGO, BOSTON, WIEN, OSLO, PRAHA
    """
)


def surname(rng: random.Random) -> str:
    """An invented surname of two to four syllables."""
    name = "".join(
        rng.choice(_ONSETS)
        + rng.choice(_VOWELS)
        + (rng.choice(_CODAS) if rng.random() < 0.4 else "")
        for _ in range(rng.choices((1, 2, 3), (25, 60, 15))[0])
    )
    if rng.random() < 0.15:
        name = rng.choice("AEIOU") + name
    return name + (rng.choice(_ENDS) if rng.random() < 0.5 or len(name) < 4 else "")


def _initials(rng: random.Random) -> str:
    letters = "".join(
        rng.choices("ABCDEFGHIJKLMNOPRSTUVWZ", k=rng.choices((1, 2, 3, 4), (5, 45, 42, 8))[0])
    )
    return rng.choice(
        (letters, ".".join(letters) + ".", "&".join(letters) if len(letters) == 2 else letters)
    )


def _trade_name(rng: random.Random) -> str:
    return surname(rng)[:5] + rng.choice(("CRAFT", "ETTE", "INE", "EX", "LITE", "ELLE", "ORA"))


_KINDS: tuple[tuple[int, Callable[[random.Random], str]], ...] = (
    (5, _initials),
    (45, surname),
    (18, lambda rng: f"{rng.choice(_GIVEN)} {surname(rng)}"),
    (8, lambda rng: f"{rng.choice('ABCDEFGHJKLMNOPRSTW')}. {surname(rng)}"),
    (8, lambda rng: f"{surname(rng)} {rng.choice(_FIRMS)}"),
    (4, lambda rng: f"{surname(rng)} & {surname(rng)}"),
    (4, lambda rng: f"{surname(rng)} {rng.choice(_TRADES)}"),
    (4, _trade_name),
    (4, lambda rng: f"{surname(rng)} {rng.choice(_PLACES)}"),
)
"""How many in a hundred marks are of each kind."""


def mark(rng: random.Random) -> str:
    """One invented mark."""
    (_, make), *_ = rng.choices(_KINDS, [share for share, _ in _KINDS])
    return make(rng)


def marks(number: int, seed: int = 4) -> Iterator[str]:
    """`number` invented marks, no two alike in their letters apart from initials."""
    rng = random.Random(seed)
    seen: set[str] = set()
    made = 0
    while made < number:
        text = mark(rng)
        if len(text) <= 7 or text not in seen:
            seen.add(text)
            made += 1
            yield text

"""Notes of invented pieces, each of another kind."""

from __future__ import annotations

NOTES = (
    "brooch, rollover catch, snap rivets, AB rhinestones, gold tone, flower, marked AUSTRIA,"
    " some plating bubbling, 2 stones missing, 5.5 cm, 23 g, grandmother said it is from 1930",
    "earrings, clip backs, signed TRIFARI with crown, rhodium plated, no damage",
    "bar pin, rolled gold, C catch, tube hinge, unmarked",
    "necklace, amber beads, ruby, marked STERLING, 45 cm",
    "locket, marked 1/20 12K GF, engraved",
    "bangle, bakelite, carved, 7 cm",
    "ring, marked 14K, diamond, 3 g",
    "hair comb, tortoiseshell, ivory, coral",
    "brooch",
    "",
)

"""Amounts of money as people write them, and as whole numbers of minor units."""

from __future__ import annotations

import re
from decimal import Decimal

from markrules.catalogue.problems import CatalogueProblem

_OTHER_DECIMALS = {
    **dict.fromkeys(("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG"), 0),
    **dict.fromkeys(("RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
    **dict.fromkeys(("CLF", "UYW"), 4),
}
"""Minor unit exponents of ISO 4217, list one, of the currencies that do not have two decimals."""

_SIGNS = {"£": "GBP", "€": "EUR", "$": "USD", "¥": "JPY"}
"""A sign alone is taken for the currency it most often means; three letters say it surely."""

_AMOUNT = re.compile(r"[0-9]{1,15}|[0-9]{1,3}(?:[ ,.'’][0-9]{3})+", re.ASCII)


def decimals_of(currency: str) -> int:
    """How many decimals a currency has: its minor unit's exponent in ISO 4217, list one."""
    return _OTHER_DECIMALS.get(currency, 2)


def parse_price(text: str, currency: str = "") -> tuple[int, str]:
    """An amount such as `34.50`, `1,234`, `£30` or `12,50 EUR`, as minor units and currency.

    The last comma or point is the decimal sign where it is followed by no more digits than the
    currency has decimals; else it groups thousands. Raises CatalogueProblem where the text is
    no amount, is negative, or names no currency and none is given.
    """
    clean = " ".join(text.split())
    named, number = _currency_in(clean)
    code = (named or currency).upper()
    if clean and not re.search(r"[0-9]", clean):
        raise CatalogueProblem(
            f'"{text}" is not a price; write it like 34.50 {currency.upper() or "EUR"}'
        )
    if not re.fullmatch(r"[A-Z]{3}", code):
        raise CatalogueProblem(
            f'"{text}": say the currency in three letters (ISO 4217), such as 12.50 EUR'
        )
    decimals = decimals_of(code)
    match = re.fullmatch(r"(.*?)(?:[.,]([0-9]{1,4}))?", number, re.ASCII)
    whole, part = (match[1], match[2] or "") if match else (number, "")
    if len(part) > decimals:
        whole, part = number, ""
    if not _AMOUNT.fullmatch(whole):
        raise CatalogueProblem(f'"{text}" is not a price; write it like 34.50 {code}')
    amount = Decimal(re.sub(r"[^0-9]", "", whole) + "." + (part or "0"))
    return int(amount.scaleb(decimals)), code


def price_of_number(text: str, currency: str) -> tuple[int, str]:
    """A number of a spreadsheet, such as `12.345`, in minor units, to the nearest one.

    Raises CatalogueProblem where it is negative, or no currency is given.
    """
    code = currency.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", code):
        raise CatalogueProblem(f'"{text}": say the currency in three letters (ISO 4217)')
    amount = Decimal(text)
    if amount < 0:
        raise CatalogueProblem(f'"{text}" is less than nothing')
    return int(amount.scaleb(decimals_of(code)).to_integral_value()), code


def _currency_in(text: str) -> tuple[str, str]:
    for sign, code in _SIGNS.items():
        if text.startswith(sign) or text.endswith(sign):
            return code, text.strip(f"{sign} ")
    match = re.fullmatch(
        r"([A-Za-z]{3}) ?([^A-Za-z\s].*)|(.*\S)(?: |(?<![A-Za-z]))([A-Za-z]{3})", text
    )
    if match is None:
        return "", text
    return (match[1] or match[4]).upper(), match[2] or match[3]


def show_price(minor: int, currency: str) -> str:
    """The amount with its currency, such as `34.50 EUR`."""
    decimals = decimals_of(currency)
    amount = Decimal(minor).scaleb(-decimals)
    return f"{amount:,.{decimals}f} {currency}".strip()

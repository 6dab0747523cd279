"""Names of people who do not exist, put together from parts of our own. Pure."""

from typing import Final

from numpy.random import Generator

GIVEN_STARTS: Final = (
    *("Ald", "Bram", "Corv", "Dren", "Elth", "Fenn", "Gor", "Hask", "Ivo", "Jor", "Kest"),
    *("Lorr", "Merr", "Nald", "Orr", "Perr", "Quil", "Rusk", "Seff", "Tamb", "Ulf", "Vost"),
    *("Wenn", "Yarr", "Zeb"),
)
GIVEN_ENDS: Final = ("an", "ard", "eck", "eth", "il", "in", "ith", "o", "ock", "or", "win", "yn")
FAMILY_STARTS: Final = (
    *("Ombr", "Brask", "Cald", "Drum", "Esk", "Fallow", "Grint", "Hob", "Ister", "Karr"),
    *("Lund", "Mott", "Nether", "Oss", "Pell", "Quor", "Rimm", "Skell", "Thrin", "Umber"),
    *("Vell", "Warr", "Yelder"),
)
FAMILY_ENDS: Final = (
    "bane",
    "cote",
    "dick",
    "garth",
    "ick",
    "lode",
    "mere",
    "row",
    "thwick",
    "wend",
)


def draw_names(rng: Generator, count: int) -> list[tuple[str, str]]:
    """So many different pairs of given name and family name."""
    names: dict[tuple[str, str], None] = {}
    while len(names) < count:
        given = f"{rng.choice(GIVEN_STARTS)}{rng.choice(GIVEN_ENDS)}"
        family = f"{rng.choice(FAMILY_STARTS)}{rng.choice(FAMILY_ENDS)}"
        names[given, family] = None
    return list(names)


def is_invented(given: str, family: str) -> bool:
    """Whether both names are put together from the parts above."""
    return given in {f"{start}{end}" for start in GIVEN_STARTS for end in GIVEN_ENDS} and (
        family in {f"{start}{end}" for start in FAMILY_STARTS for end in FAMILY_ENDS}
    )

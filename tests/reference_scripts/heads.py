"""The head of a file of stored results: what it is about, and which library gave it, with version and script."""

from importlib.metadata import version
from pathlib import Path

LIBRARIES = {  # authors, title, year
    "iapws": ("jjgomera", "iapws", None),
    "mpmath": ("F. Johansson and mpmath contributors", "mpmath", 2026),
    "optiland": ("K. Harrison", "optiland", 2026),
    "paretoset": ("T. Odland and paretoset contributors", "paretoset", 2025),
    "prysm": ("B. D. Dube", "prysm", 2019),
    "rayoptics": ("M. J. Hayford", "rayoptics", 2025),
    "scipy": ("SciPy developers", "scipy.stats.sobol_indices", 2026),
}


def head(script, library, subject, *, source=None):
    """As TOML, of the library that is installed; `source` is the name that the cases give, where it is not the library's own."""
    authors, title, year = LIBRARIES[library]
    lines = [
        f'subject = "{subject}"',
        "",
        f"[sources.{source or library}]",
        f'authors = "{authors}"',
        f'title = "{title}"',
        f'version = "{version(library)}"',
        *([f"year = {year}"] if year else []),
        'seen = "read"',
        'kind = "reference library"',
        f'script = "tests/reference_scripts/{Path(script).name}"',
    ]
    return "\n".join(lines)

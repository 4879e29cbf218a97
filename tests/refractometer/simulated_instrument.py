"""A refractometer that reads polymers whose index is known: the physics told a second time, without a line of the package under test.

A `Polymer` has a true index at any wavelength and temperature, dry and with water in it. A `Refractometer` reads it with errors of its own. A sheet
is what the lab would write down: readings, and for every cause of error the standard uncertainty from which that error was drawn.
`simulated(kind, seed)` gives the sheet as a TOML reader would, and the true index of the lens in use: 546.07 nm, 35 °C, wet, relative to air. All
of it is invented, but for the published dispersions.

What is drawn anew for every sheet
- The polymer: one of three published resonance forms, strengths varied by 1 % and resonances by 5 % (normal), with 0 to 35 % by volume of water (dry
  ones take up 1 to 10 %) by the rule of Lorentz and Lorenz. The molar refraction stays, the volume expands at a constant rate: dn/dT and its change
  with wavelength and temperature follow. Truth is therefore never of the form that the package fits, and not on a straight line with temperature.
- What a sheet states with a standard uncertainty (scale, certificate, lamp, thermometer, dn/dT, Abbe number, hydration shift, operator, specimen
  against lens, compensation, prism, water): a normal error of that size. The thermometer's is half one error of the whole sheet, half one for each
  setting of a temperature (in variance): one for all lines of the specimen, one for each reading of a reference. One lamp a line serves all.
- What is counted by its spread (readings, mountings, sessions): normal, few of each, so that means have t. A pooled history is s·√(χ²/ν).
- What a grid does: every reading is rounded to the resolution; nothing else is rounded.
- What is rectangular by nature: the place of the readings between a first and a second check of the zero; the direction in which a lens is cut from
  an oriented block.
- Coarse instruments (1e-4) and fine ones (1e-5) by turns.

The kinds, as many sheets of each
- in use: one line at 546.07 nm and 35 °C, the scale's u stated
- Abbe number: the D line at 20 to 24 °C, Abbe number and dn/dT stated
- two lines: D and F, dn/dT stated
- four lines: C, D, F and g through a Cauchy form of two terms (coarse) or three (fine)
- temperatures: the D line at two or three temperatures up to 35 °C, the slope fitted
- temperatures below: the same at 20 and 30, or 20, 25 and 30 °C, and carried on to 35 °C
- mountings: three to five mountings read three times each
- sessions: three or four sessions of two mountings, each read twice
- drying: three or four mountings read at five times, the reading moving by up to 5e-5 a minute
- pooled: one or two readings and a pooled history
- grid: readings that scatter by up to a third of the resolution, and a scale known far better than that
- water: water as the one reference, an offset; the slope's share is stated as u_calibration
- water and certified: water and a certified piece, offset and slope
- two lines, calibrated: two lines of helium, each with water and the certified piece read at that line; one certificate's error for both
- dry: read dry, the shift on hydration measured
- directions: an oriented block read in three directions
- compensated: a scale that takes itself to 20 °C with a sugar solution's slope
- another line: a scale made for D read at 546.07 nm through a prism
- zero checked: a check piece before and after, and a zero that moves between
- dense flint: a lamp known to 3 nm, a contact prism with its dispersion, and a piece of dense flint as the one reference
- drying over sessions: two or three sessions of two mountings, each read four times while the reading moves
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

IN_USE_NM, IN_USE_DEGC = 546.07, 35.0
C, D, F, G = 656.2725, 589.2938, 486.1327, 435.8343
HELIUM = 587.5618, 501.5678  # the first is d, of the Abbe number
KINDS = (
    "in use", "Abbe number", "two lines", "four lines", "temperatures", "temperatures below", "mountings", "sessions", "drying", "pooled", "grid",
    "water", "water and certified", "two lines, calibrated", "dry", "directions", "compensated", "another line", "zero checked",
    "dense flint", "drying over sessions",
)  # fmt: skip

# n² − 1 = Σ b·L²/(L² − c), L in µm, and the expansion of the volume per K (invented, of the order of these materials)
FORMS = (
    ((0.99654, 0.18964, 0.00411), (0.00787, 0.02191, 3.85727), 2.3e-4),  # PMMA, Szczurowski 2013
    ((1.4435,), (0.020216,), 2.4e-4),  # polystyrene, Sultanova 2009
    ((1.0093,), (0.013185,), 8.0e-4),  # PDMS, Schneider 2009
)
# water, absolute, wavelength in vacuum: Daimon & Masumura, Appl. Opt. 46 (2007) 3811, °C → (b, c), as in refractiveindex.info (CC0)
WATER = {
    20.0: ((0.5684027565, 0.1726177391, 0.02086189578, 0.1130748688), (5.101829712e-3, 1.821153936e-2, 2.620722293e-2, 10.69792721)),
    21.5: ((0.5689093832, 0.1719708856, 0.02062501582, 0.1123965424), (5.110301794e-3, 1.825180155e-2, 2.624158904e-2, 10.67505178)),
    24.0: ((0.5666959820, 0.1731900098, 0.02095951857, 0.1125228406), (5.084151894e-3, 1.818488474e-2, 2.625439472e-2, 10.73842352)),
}
U_WATER = 1.5e-5  # what IAPWS R9-97 says of itself in the visible (from memory, to be confirmed against the text)


def resonances(nm: float, b: Any, c: Any) -> float:
    L2 = (nm / 1000.0) ** 2
    return float(np.sqrt(1.0 + np.sum(np.asarray(b) * L2 / (L2 - np.asarray(c)))))


def air(nm: float, degC: float) -> float:
    """Ciddor, Appl. Opt. 35 (1996) 1566, dry air at 15 °C and 101325 Pa, its density as of an ideal gas at other temperatures.

    Coefficients from memory; they meet the printed values of the reference cases of air within 3e-8.
    """
    s2 = (1000.0 / nm) ** 2
    return 1.0 + 1e-8 * (5792105.0 / (238.0185 - s2) + 167917.0 / (57.362 - s2)) * 288.15 / (273.15 + degC)


def water(nm: float, degC: float) -> float:
    """Relative to air of the same temperature: a parabola through the three temperatures of the paper."""
    absolute = 0.0
    for T in WATER:
        others = [t for t in WATER if t != T]
        weight = np.prod([(degC - t) / (T - t) for t in others])
        absolute += float(weight) * resonances(nm * air(nm, 15.0), *WATER[T])
    return absolute / air(nm, degC)


@dataclass(frozen=True)
class Polymer:
    """A polymer with a share of water by volume; its index relative to air."""

    b: tuple[float, ...]
    c_um2: tuple[float, ...]
    expansion_per_K: float
    water_by_volume: float = 0.0

    def n(self, nm: float, degC: float) -> float:
        def refraction(n: float) -> float:
            return (n * n - 1.0) / (n * n + 2.0)

        own, wet = resonances(nm, self.b, self.c_um2), water(nm, 20.0)
        at_20 = (1.0 - self.water_by_volume) * refraction(own) + self.water_by_volume * refraction(wet)
        r = at_20 / (1.0 + self.expansion_per_K * (degC - 20.0))
        return float(np.sqrt((1.0 + 2.0 * r) / (1.0 - r)))

    def slope(self, nm: float, degC: float) -> float:
        return self.n(nm, degC + 0.5) - self.n(nm, degC - 0.5)

    def abbe(self, degC: float) -> float:
        return (self.n(HELIUM[0], degC) - 1.0) / (self.n(F, degC) - self.n(C, degC))

    def with_water(self, share: float, expansion_per_K: float) -> Polymer:
        return Polymer(self.b, self.c_um2, expansion_per_K, share)


@dataclass
class Refractometer:
    """What one instrument and its operator do to an index; its errors are set once a sheet. `u_T` is the thermometer's stated u."""

    random: np.random.Generator
    resolution: float
    s_reading: float
    u_T: float
    offset: float = 0.0
    slope: float = 0.0
    slope_about: float = 1.4
    operator: float = 0.0
    compensation_per_K: float = 0.0
    thermometer: float = field(init=False)

    def __post_init__(self) -> None:
        self.thermometer = self.error(self.u_T / 2.0**0.5)

    def error(self, u: float) -> float:
        return float(self.random.normal(0.0, u)) if u > 0 else 0.0

    def temperature(self, stated_degC: float) -> float:
        """What the specimen's temperature truly is when it is set once."""
        return stated_degC + self.thermometer + self.error(self.u_T / 2.0**0.5)

    def shows(self, n: float, stated_degC: float, also: Any = 0.0, count: int | None = None, s: float | None = None) -> list[float]:
        """Readings of a true index; `also` is what else moves each of them."""
        moved = np.broadcast_to(np.asarray(also, dtype=float), (count,) if count else np.shape(also))
        noise = self.random.normal(0.0, self.s_reading if s is None else s, moved.shape)
        scale = n + self.offset + self.slope * (n - self.slope_about) + self.compensation_per_K * (20.0 - stated_degC)
        return [round(float(k) * self.resolution, 6) for k in np.round((scale + moved + noise) / self.resolution)]


@dataclass(frozen=True)
class Simulated:
    kind: str
    data: dict[str, Any]
    n_in_use: float


def simulated(kind: str, seed: int) -> Simulated:
    """One sheet of a kind and the true index in use."""
    return _Lab(np.random.default_rng([KINDS.index(kind), seed]), kind, fine=bool(seed % 2)).sheet()


class _Lab:
    """Draws a polymer and an instrument, reads, and writes the sheet."""

    def __init__(self, random: np.random.Generator, kind: str, *, fine: bool) -> None:
        self.random, self.kind, self.fine = random, kind, fine
        self.scale = 0.2 if fine else 1.0
        self.shift = self.cut = 0.0
        self.lamps: dict[float, float] = {}
        self.settings: dict[float, float] = {}
        b, c, expansion = FORMS[random.integers(len(FORMS))]
        own = Polymer(
            tuple(x * (1.0 + random.normal(0.0, 0.01)) for x in b), tuple(x * (1.0 + random.normal(0.0, 0.05)) for x in c),
            expansion * (1.0 + random.normal(0.0, 0.1)),
        )  # fmt: skip
        share = float(random.uniform(0.01, 0.1) if kind == "dry" else random.uniform(0.0, 0.35))
        self.wet = own.with_water(share, own.expansion_per_K * (1.0 + float(random.uniform(0.0, 0.3))))
        self.read = own if kind == "dry" else self.wet
        s = self.scale * float(random.uniform(0.3e-4, 1e-4))
        self.instrument = Refractometer(random, 1e-5 if fine else 1e-4, s, u_T=0.1 if fine else 0.2)
        self.u_calibration = self.scale * 1.5e-4
        self.degC = float(random.choice([20.0, 21.5, 24.0]))
        self.data: dict[str, Any] = {
            "provenance": "invented: a simulated instrument",
            "specimen": {"material": "simulated polymer", "state": "dry" if kind == "dry" else "hydrated"},
            "instrument": {
                "kind": "prism contact", "resolution": self.instrument.resolution, "n_contact_liquid": 1.74, "n_prism": 1.85,
                "scale_wavelength_nm": D,
            },
        }  # fmt: skip
        if kind != "another line":
            del self.data["instrument"]["scale_wavelength_nm"]

    def error(self, u: float) -> float:
        return self.instrument.error(u)

    def stated(self, true: float, u: float) -> tuple[float, float]:
        return true + self.error(u), u

    # --- what a sheet holds -----------------------------------------------------------------------------------------------------------

    def sheet(self) -> Simulated:
        getattr(self, "_" + self.kind.replace(",", "").replace(" ", "_").lower())()
        truth = self.wet.n(IN_USE_NM, IN_USE_DEGC)
        if self.kind == "dry":  # wet at the temperature of the reading, then the wet slope
            truth = self.read.n(IN_USE_NM, self.degC) + self.shift + self.wet.n(IN_USE_NM, IN_USE_DEGC) - self.wet.n(IN_USE_NM, self.degC)
        u_lens = self.scale * (1e-5 if self.kind == "grid" else 5e-5)
        self.data["specimen"]["u_specimen_to_lens"] = u_lens
        return Simulated(self.kind, self.data, truth + self.error(u_lens) + self.cut)

    def state_scale(self, *, operator: bool = True, share: float = 1.0) -> None:
        """No references: the lab states how good its scale is, half of it an offset and half a slope (in variance), at the specimen's index."""
        u = self.u_calibration * share
        self.instrument.slope_about = self.read.n(D, self.degC) - 0.15
        self.instrument.offset = self.error(u / 2.0**0.5)
        self.instrument.slope = self.error(u / 2.0**0.5 / 0.15)
        self.data["instrument"]["u_calibration"] = u
        if operator:
            self.operator()

    def operator(self) -> None:
        u = self.scale * 5e-5
        self.data["instrument"]["u_operator"] = u
        self.instrument.operator = self.error(u)

    def lamp(self, nm: float, u_nm: float) -> float:
        """The lamp's true line: one lamp a line, whatever is read with it."""
        return nm + self.lamps.setdefault(nm, self.error(u_nm))

    def setting(self, degC: float) -> float:
        """The specimen's true temperature: set once, and all lines are read then."""
        return self.settings.setdefault(degC, self.instrument.temperature(degC))

    def reading(
        self, nm: float, degC: float, also: Any, *, u_nm: float = 0.3, of: Any = None, s: float | None = None, setting: float | None = None,
        **keys: Any,
    ) -> dict[str, Any]:  # fmt: skip
        """Replicates at one line and temperature; `also` is one movement a reading (mounting, session, drift)."""
        n = (of or self.read.n)(self.lamp(nm, u_nm), self.setting(degC) if setting is None else setting)
        shown = self.instrument.shows(n, degC, np.asarray(also) + self.instrument.operator, s=s)
        lamp = {"u_wavelength_nm": u_nm} if u_nm else {}
        place = {"wavelength_nm": nm, "temperature_degC": degC, "u_temperature_degC": self.instrument.u_T, "basis": "air"}
        return {**place, **lamp, "n": shown, **keys}

    def replicates(self, nm: float, degC: float, **keys: Any) -> dict[str, Any]:
        """Four to six readings, each mounted anew."""
        s_mounting = self.scale * 5e-5
        return self.reading(nm, degC, self.random.normal(0.0, s_mounting, self.random.integers(4, 7)), **keys)

    def one_line(self) -> None:
        self.data["reading"] = [self.replicates(D, self.degC)]
        self.abbe()

    def abbe(self) -> None:
        V = self.read.abbe(self.degC)
        value, u = self.stated(V, 0.01 * V)
        self.data["dispersion"] = {"abbe_d": value, "u_abbe_d": u}

    def dn_dt(self, u: float | None = None) -> None:
        """The mean slope of the wet polymer between the reading and 35 °C, as a lab would measure it."""
        span = IN_USE_DEGC - self.degC
        true = (self.wet.n(IN_USE_NM, IN_USE_DEGC) - self.wet.n(IN_USE_NM, self.degC)) / span if span else self.wet.slope(IN_USE_NM, IN_USE_DEGC)
        value, u = self.stated(true, u or self.scale * 1e-5)
        self.data["temperature"] = {"dn_dt_per_K": value, "u_dn_dt_per_K": u, "state": "hydrated"}

    # --- the kinds --------------------------------------------------------------------------------------------------------------------

    def _in_use(self) -> None:
        self.degC = IN_USE_DEGC
        self.state_scale()
        self.data["reading"] = [self.replicates(IN_USE_NM, self.degC, u_nm=0.0)]
        self.dn_dt()

    def _abbe_number(self) -> None:
        self.state_scale()
        self.one_line()
        self.dn_dt(self.scale * 2e-5)

    def _two_lines(self) -> None:
        self.state_scale()
        self.data["reading"] = [self.replicates(nm, self.degC) for nm in (D, F)]
        self.dn_dt()

    def _four_lines(self) -> None:
        self.state_scale()
        self.data["reading"] = [self.replicates(nm, self.degC) for nm in (C, D, F, G)]
        self.data["dispersion"] = {"form": "cauchy", "terms": 3 if self.fine else 2}
        self.dn_dt()

    def _temperatures(self) -> None:
        self.over((21.5, 28.0, 35.0) if self.random.integers(2) else (21.5, 35.0))

    def _temperatures_below(self) -> None:
        self.over((20.0, 25.0, 30.0) if self.random.integers(2) else (20.0, 30.0))

    def over(self, temperatures: tuple[float, ...]) -> None:
        self.state_scale(share=0.3)
        self.data["reading"] = [self.replicates(D, T) for T in temperatures]
        self.degC = temperatures[-1]
        self.abbe()

    def _mountings(self) -> None:
        self.state_scale(share=0.3)
        M, re_reads = int(self.random.integers(3, 6)), 3
        mountings = self.random.normal(0.0, self.scale * 4e-4, M)
        labels = np.repeat(np.arange(M), re_reads)
        self.degC = IN_USE_DEGC
        self.data["reading"] = [self.reading(IN_USE_NM, self.degC, mountings[labels], u_nm=0.0, mounting=labels.tolist())]
        self.dn_dt()

    def _sessions(self) -> None:
        self.state_scale(operator=False, share=0.3)
        S = int(self.random.integers(3, 5))
        session = np.repeat(np.arange(S), 4)
        mounting = np.repeat(np.arange(2 * S), 2)
        also = self.random.normal(0.0, self.scale * 4e-4, S)[session] + self.random.normal(0.0, self.scale * 1e-4, 2 * S)[mounting]
        self.degC = IN_USE_DEGC
        self.data["reading"] = [self.reading(IN_USE_NM, self.degC, also, u_nm=0.0, session=session.tolist(), mounting=mounting.tolist())]
        self.dn_dt()

    def _drying(self) -> None:
        self.state_scale(share=0.5)
        M = int(self.random.integers(3, 5))
        minutes, labels = np.tile([1.0, 2.0, 4.0, 6.0, 8.0], M), np.repeat(np.arange(M), 5)
        per_minute = float(self.random.uniform(-5e-5, 5e-5))
        also = self.random.normal(0.0, self.scale * 1e-4, M)[labels] + per_minute * minutes
        self.degC = IN_USE_DEGC
        keys = {"mounting": labels.tolist(), "minutes_after_mounting": minutes.tolist()}
        self.data["reading"] = [self.reading(IN_USE_NM, self.degC, also, u_nm=0.0, **keys)]
        self.dn_dt()

    def _pooled(self) -> None:
        self.state_scale(share=0.3)
        s, dof = self.scale * 2e-4, int(self.random.integers(6, 15))
        self.degC = IN_USE_DEGC
        history = {"u_repeatability": s * float(self.random.chisquare(dof) / dof) ** 0.5, "dof_repeatability": dof}
        self.data["reading"] = [self.reading(IN_USE_NM, self.degC, np.zeros(self.random.integers(1, 3)), u_nm=0.0, s=s, **history)]
        self.dn_dt()

    def _grid(self) -> None:
        self.state_scale(share=0.1)
        self.degC = IN_USE_DEGC
        d = self.instrument.resolution = 5e-5 if self.fine else 2e-4
        s = d * float(self.random.uniform(0.0, 1.0 / 3.0))
        self.data["instrument"] |= {"resolution": d, "u_operator": 0.0}
        self.instrument.operator, self.instrument.u_T = 0.0, 0.02
        self.instrument.thermometer *= 0.02 / (0.1 if self.fine else 0.2)
        self.data["reading"] = [self.reading(IN_USE_NM, self.degC, np.zeros(5), u_nm=0.0, s=s)]
        self.dn_dt()

    # an offset and a slope that nobody states, for the references to find
    def unknown_scale(self) -> None:
        self.instrument.offset, self.instrument.slope = self.error(5e-4), self.error(2e-3)
        self.operator()

    def water_reference(self, nm: float) -> dict[str, Any]:
        return {"name": "water", "kind": "water", **self.reference(nm, lambda lamp, T: water(lamp, T) + self.water_error)}

    def certified_reference(self, nm: float) -> dict[str, Any]:
        keys = {"n_certified": self.piece(nm, 20.0) + self.certificate_error, "u_certified": self.u_certified}
        keys |= {"certified_temperature_degC": 20.0, "certified_basis": "air", "dn_dt_per_K": 3e-6 + self.piece_slope_error, "u_dn_dt_per_K": 1e-6}
        return {"name": "certified piece", "kind": "certified", **keys, **self.reference(nm, self.piece)}

    def reference(self, nm: float, n: Any) -> dict[str, Any]:
        """A reference is read with the operator's habit as zero: he sees its border as he should."""
        habit, self.instrument.operator = self.instrument.operator, 0.0
        r = self.reading(nm, self.degC, np.zeros(5), of=n, setting=self.instrument.temperature(self.degC))
        self.instrument.operator = habit
        return {k: v for k, v in r.items() if k not in ("basis", "u_wavelength_nm")}

    def draw_references(self) -> None:
        self.water_error, self.piece_slope_error = self.error(U_WATER), self.error(1e-6)
        self.u_certified = self.scale * 4e-4
        self.certificate_error = self.error(self.u_certified)
        level = float(self.random.uniform(1.50, 1.62))

        def piece(nm: float, degC: float) -> float:
            return level + 4.5e-3 * (1e6 / nm**2 - 1e6 / D**2) + 3e-6 * (degC - 20.0)

        self.piece = piece

    def _water(self) -> None:
        self.unknown_scale()
        self.draw_references()
        u = self.scale * 1e-4
        self.instrument.slope = self.error(u) / (self.read.n(D, self.degC) - water(D, self.degC))
        self.data["instrument"]["u_calibration"] = u
        self.one_line()
        self.data["calibration"] = {"model": "offset", "reference": [self.water_reference(D)]}
        self.dn_dt(self.scale * 5e-6)

    def _water_and_certified(self) -> None:
        self.unknown_scale()
        self.draw_references()
        self.one_line()
        self.data["calibration"] = {"model": "offset and slope", "reference": [self.water_reference(D), self.certified_reference(D)]}
        self.dn_dt(self.scale * 5e-6)

    def _two_lines_calibrated(self) -> None:
        self.unknown_scale()
        self.draw_references()
        self.data["reading"] = [self.replicates(nm, self.degC) for nm in HELIUM]
        pairs = [r for nm in HELIUM for r in (self.water_reference(nm), self.certified_reference(nm))]
        self.data["calibration"] = {"model": "offset and slope", "reference": pairs}
        self.dn_dt(self.scale * 5e-6)

    def _dry(self) -> None:
        self.state_scale(share=0.5)
        self.one_line()
        self.shift = self.wet.n(IN_USE_NM, self.degC) - self.read.n(IN_USE_NM, self.degC)
        value, u = self.stated(self.shift, self.scale * 2e-4)
        self.data["hydration"] = {"hydration_shift": value, "u_hydration_shift": u}
        self.dn_dt(self.scale * 5e-6)

    def _directions(self) -> None:
        self.state_scale(share=0.5)
        self.degC = IN_USE_DEGC
        away = self.random.normal(0.0, self.scale * 3e-4, 3)
        away -= np.mean(away)
        self.data["reading"] = [
            self.replicates(IN_USE_NM, self.degC, u_nm=0.0, of=lambda nm, T, a=a: self.read.n(nm, T) + a, direction=name)
            for a, name in zip(away.tolist(), ("along", "across", "through"), strict=True)
        ]
        self.cut = float(self.random.uniform(-1.0, 1.0) * np.ptp(away) / 2.0)
        self.dn_dt()

    def _compensated(self) -> None:
        self.degC = 24.0
        self.state_scale(share=0.5)
        per_K, u = -1.5e-4, self.scale * 5e-5
        self.instrument.compensation_per_K = per_K + self.error(u)
        self.data["instrument"] |= {
            "temperature_compensation": "sugar", "compensation_per_K": per_K, "u_compensation_per_K": u, "compensation_to_degC": 20.0,
        }  # fmt: skip
        self.one_line()
        self.dn_dt(self.scale * 5e-6)

    def _another_line(self) -> None:
        self.state_scale(share=0.5)
        self.degC = IN_USE_DEGC
        apex, u = np.radians(60.0), self.scale * 1e-4
        stated = {D: 1.8500, IN_USE_NM: 1.8574}
        true = {nm: N + self.error(u) for nm, N in stated.items()}

        def on_the_scale(nm: float, degC: float) -> float:
            """The border inside the prism, refracted out of it at the light's line, and read back with the prism of the scale's line."""
            out = true[IN_USE_NM] * np.sin(apex - np.arcsin(self.read.n(nm, degC) / true[IN_USE_NM]))
            return float(true[D] * np.sin(apex - np.arcsin(out / true[D])))

        self.data["instrument"] |= {
            "prism_apex_deg": 60.0, "prism": [{"wavelength_nm": nm, "n_prism": N, "u_n_prism": u} for nm, N in stated.items()],
        }  # fmt: skip
        self.data["reading"] = [self.replicates(IN_USE_NM, self.degC, u_nm=0.0, of=on_the_scale)]
        self.dn_dt()

    def _zero_checked(self) -> None:
        self.state_scale(share=0.5)
        self.degC = IN_USE_DEGC
        moved, when = self.error(self.scale * 3e-4), float(self.random.uniform())
        check = 1.5168 + self.error(1e-3)
        before, after = (self.instrument.shows(check, self.degC, m, count=4) for m in (0.0, moved))
        self.data["reading"] = [self.replicates(IN_USE_NM, self.degC, u_nm=0.0, of=lambda nm, T: self.read.n(nm, T) + when * moved)]
        self.data["calibration"] = {"check_before": before, "check_after": after}
        self.dn_dt()

    def _dense_flint(self) -> None:
        self.unknown_scale()
        self.draw_references()
        self.instrument.slope = 0.0
        level, strength = float(self.random.uniform(1.68, 1.74)), float(self.random.uniform(0.011, 0.014))  # Abbe number 27 to 35

        def cauchy(level: float, strength: float, nm: float) -> float:
            return level + strength * (1e6 / nm**2 - 1e6 / D**2)

        def prism(nm: float) -> float:
            return cauchy(1.85, 0.0185, nm)

        def through_prism(of: Any) -> Any:
            """The border's angle inside under the lamp's true line, on a scale that takes the prism's index at the line it is made for."""
            return lambda nm, degC: of(nm, degC) * prism(D) / prism(nm)

        def flint(nm: float, degC: float) -> float:
            return cauchy(level, strength, nm) + 3e-6 * (degC - 20.0)

        self.data["instrument"] |= {
            "angle_measured_inside": True,
            "prism": [{"wavelength_nm": nm, "n_prism": prism(nm), "u_n_prism": 0.0} for nm in (D, F)],
        }  # fmt: skip
        self.data["reading"] = [self.replicates(D, self.degC, u_nm=3.0, of=through_prism(self.read.n))]
        self.abbe()
        self.piece, self.u_certified = flint, self.scale * 5e-5
        self.certificate_error = self.error(self.u_certified)
        keys = self.certified_reference(D) | self.reference(D, through_prism(flint))
        abbe = (flint(HELIUM[0], 20.0) - 1.0) / (flint(F, 20.0) - flint(C, 20.0))
        self.data["calibration"] = {"model": "offset", "reference": [keys | {"abbe_d": abbe}]}
        self.dn_dt(self.scale * 5e-6)

    def _drying_over_sessions(self) -> None:
        self.state_scale(operator=False, share=0.3)
        S = int(self.random.integers(2, 4))
        minutes = np.tile([1.0, 2.0, 4.0, 6.0], 2 * S)
        session, mounting = np.repeat(np.arange(S), 8), np.repeat(np.arange(2 * S), 4)
        also = self.random.normal(0.0, self.scale * 4e-4, S)[session] + self.random.normal(0.0, self.scale * 1e-4, 2 * S)[mounting]
        self.degC = IN_USE_DEGC
        keys = {"session": session.tolist(), "mounting": mounting.tolist(), "minutes_after_mounting": minutes.tolist()}
        also = also + float(self.random.uniform(-5e-5, 5e-5)) * minutes
        self.data["reading"] = [self.reading(IN_USE_NM, self.degC, also, u_nm=0.0, **keys)]
        self.dn_dt()

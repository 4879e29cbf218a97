"""Records as the tables and sentences of a page: no page here, so that they can be tested by themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from lenscalc.decision.decide import in_few_words
from lenscalc.quantities import counted
from lenscalc.uncertainty import decimals_for, probability_text
from lenscalc.uncertainty.rounding import as_stated
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.figures import figure, kept_together, signed

if TYPE_CHECKING:
    import pandas as pd

    from lenscalc.records import Again, Checked, Line, Record

MOST = 12  # differences are shown


def lines_table(lines: Sequence[Line]) -> pd.DataFrame:
    """A line a record, the figures with their u."""
    return _frame(
        [
            {
                "record": line.id, "day": unbroken(line.day), "of": of_in_words(line), "index": _figure(line.n_lens, line.u_n_lens),
                "power": "" if line.power_D is None or line.u_power_D is None else _figure(line.power_D, line.u_power_D, "D"),
                "decision": _of_a_line(line),
            }
            for line in lines
        ], ("record", "day", "of", "index", "power", "decision"),
    )  # fmt: skip


def _of_a_line(line: Line) -> str:
    """What was decided, or that the record does not stand: by which other, its own page says, and no narrow column breaks a hash."""
    return f"withdrawn: {line.withdrawn}" if line.withdrawn is not None else "superseded" if line.superseded_by else in_few_words(line.verdict or "")


def unbroken(day: str) -> str:
    """A day that a narrow column does not break."""
    return day.replace("-", "\u2011")


def _figure(value: float, u: float, unit: str = "") -> str:
    """A value and its u, which a narrow column breaks between the two alone."""
    return kept_together(figure(value, u, unit))


def of_in_words(line: Line) -> str:
    """Material, lot and specimen, as far as they are named."""
    parts = [line.material, *([f"lot {line.lot}"] if line.lot else []), *([line.specimen] if line.specimen else [])]
    return ", ".join(parts)


def figures_table(record: Record) -> pd.DataFrame:
    """Index, power and decision of a record."""
    index, lens, decision = record.section("index"), record.section("lens"), record.section("decision")
    rows = {"index in the eye": figure(index["n_lens"], index["u_n_lens"])}
    if "abbe_d" in index:
        rows["Abbe number"] = figure(index["abbe_d"], index["u_abbe_d"])
    if lens:
        rows["power of a lens of it"] = figure(lens["power_D"], lens["u_power_D"], "D")
        if "interval_lower_D" in lens and lens["u_power_D"]:
            d = decimals_for(lens["u_power_D"])
            rows["95 % interval"] = f"{signed(lens['interval_lower_D'], d)} to {signed(lens['interval_upper_D'], d)} D"
    if decision:
        ends = f"{as_stated(decision['lower_limit_D'])} to {as_stated(decision['upper_limit_D'])} D"
        rows["label, and limits about it"] = f"{as_stated(decision['labelled_power_D'])} D, {ends}"
        if "conformance_probability" in decision:
            p, required = decision["conformance_probability"], decision["required_probability"]
            rows["conformance probability"] = f"{probability_text(p, required=required)} (required: {required:g})"
        rows["decision"] = decision.get("verdict", "none: see the remarks")
        rows["tolerance"] = decision["edition"]
    return _pairs(rows)


def read_table(record: Record) -> pd.DataFrame:
    """What was read: every list of readings, with its single values."""
    rows = []
    for of in record.rows("lists"):
        n = _as_shown([row["n"] for row in record.rows("readings") if row["list"] == of["position"]])
        at = f"{of['wavelength_nm']:g} nm, {of['temperature_degC']:g} °C" if "wavelength_nm" in of else ""
        rows.append({"what": of.get("reference_name", of["purpose"]), "at": at, "readings, as shown": n})
    return _frame(rows, ("what", "at", "readings, as shown"))


def _as_shown(n: Sequence[float]) -> str:
    """Readings with as many decimals as the finest of them has."""
    decimals = max(len(f"{x:.10f}".rstrip("0").partition(".")[2]) for x in n)
    return ", ".join(f"{x:.{decimals}f}" for x in n)


def made_table(record: Record) -> pd.DataFrame:
    """With what it was read and computed, and when it was kept."""
    made, session = record.section("record"), record.section("session")
    kept = f"{made['added_at_utc'][:19].replace('T', ' ')} UTC, as number {made['number']} of store {made['store'][:8]}"
    read = {
        "read with": session.get("instrument") or session["instrument_kind"],
        "read on": session.get("read_on", "the sheet does not say"),
    } if session else {}  # a withdrawal holds no reading
    rows = {
        **read,
        "kept": kept,
        "computed with": f"lenscalc {made['lenscalc']}, numpy {made['numpy']}, scipy {made['scipy']}, {made['system']} {made['machine']}",
        "its sheet": f"{made['sheet_name']}, SHA-256 {made['sheet_sha256'][:12]}…",
    }
    if made.get("supersedes"):
        rows["withdraws" if record.is_withdrawal else "supersedes"] = f"record {made['supersedes'][:12]}, because {made['because']}"
    return _pairs(rows)


def history_table(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """A lot's records in the order in which they were added; `day` is that of the readings, or where the sheet does not say, of adding."""
    return _frame(
        [
            {
                "record": row["record"][:12], "day": unbroken(row["read_on"] or row["added_at_utc"][:10]),
                "readings": str(row["readings"]), "index": _figure(row["n_lens"], row["u_n_lens"]),
                "power": "" if row["power_D"] is None else _figure(row["power_D"], row["u_power_D"], "D"),
                "decision": _of_a_row(row),
            }
            for row in rows
        ], ("record", "day", "readings", "index", "power", "decision"),
    )  # fmt: skip


def _of_a_row(row: Mapping[str, Any]) -> str:
    if row["withdrawn_by"]:
        return f"withdrawn: {row['because']}"
    return f"superseded by {row['superseded_by'][:12]}: {row['because']}" if row["superseded_by"] else in_few_words(row["verdict"] or "")


def again_in_words(again: Again) -> str:
    """What computing a record again gave, in a sentence or two."""
    changed = [f"{name} {again.then[name]} then, {now} now" for name, now in again.now.items() if again.then[name] != now and name != "processor"]
    by = "the same version, libraries and processor" if again.is_same_maker else ", ".join([*changed, "another processor"][: len(changed) or 1])
    if again.refusal:
        return f"This version does not take its sheet: {again.refusal} ({by})."
    if not again.differences:
        return f"Every value came out to the same bits ({by})."
    if again.holds:
        return f"Every value came out within 1e-13 of itself, which is what another machine or library may leave ({by})."
    many = len(again.differences)
    start = f"{many} value{'s' if many > 1 else ''} came out otherwise ({by})"
    return f"{start}, in words alone: every figure is the record's." if again.figures_hold else f"{start}: do not print it before you know why."


def differences_table(again: Again) -> pd.DataFrame:
    """The first values that came out otherwise."""
    rows = [{"field": d.field, "then": _text(d.then), "now": _text(d.now)} for d in again.differences[:MOST]]
    return _frame(rows, ("field", "then", "now"))


def check_in_words(checked: Checked) -> str:
    """What a check of the store found, in a sentence."""
    if checked.problems:
        many = len(checked.problems)
        return f"Something is no longer as it was added: {counted(many, 'problem')} in {counted(checked.records, 'record')}."
    return f"Each of {counted(checked.records, 'record')} gives its hash, every link between them holds, and so do the locks."


def _text(value: Any) -> str:
    return "nothing" if value is None else repr(value) if isinstance(value, float) else str(value)


def _pairs(rows: Mapping[str, str]) -> pd.DataFrame:
    return _frame([{"": name, "value": text} for name, text in rows.items()], ("", "value"))


def _frame(rows: Sequence[Mapping[str, str]], columns: Sequence[str]) -> pd.DataFrame:
    import pandas as pd

    shown = [{name: as_text(text) for name, text in row.items()} for row in rows]  # a table reads Markdown too
    return pd.DataFrame(shown, columns=list(columns)).set_index(columns[0])

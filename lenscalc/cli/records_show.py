"""Records as lines for a person, or as the values of a JSON object."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from lenscalc.chain import lens_in_words
from lenscalc.cli.show import heading, line, paragraph, value_line
from lenscalc.quantities import counted
from lenscalc.uncertainty import probability_text, with_u

if TYPE_CHECKING:
    from lenscalc.records import Record

SECTIONS_OF_A_LINE = ("session", "index", "lens", "decision")
CHANGED = (
    "this record was changed after it was added: its content no longer gives its hash; do not use it; `lenscalc records check` looks at all of "
    "them, and the last backup or export has it as it was"
)
_BUDGET_LINES = 4


def summary(record: Record) -> dict[str, Any]:
    """The values of one line."""
    index, lens, decision = record.section("index"), record.section("lens"), record.section("decision")
    session = record.section("session")
    return {
        "id": record.id, "hash": record.hash, "day": record.day, "added_at_utc": record.added_at_utc, "material": record.material, "lot": record.lot,
        "specimen": session.get("specimen"), "instrument": session.get("instrument") or session["instrument_kind"],
        "n_lens": index["n_lens"], "u_n_lens": index["u_n_lens"], "power_D": lens.get("power_D"), "u_power_D": lens.get("u_power_D"),
        "verdict": decision.get("verdict"), "sheet_name": record.section("record")["sheet_name"], "superseded_by": list(record.superseded_by),
        "withdrawn": record.withdrawn_by[0].because if record.withdrawn_by else None,
    }  # fmt: skip


def record_values(record: Record) -> dict[str, Any]:
    """A whole record, section by section."""
    withdrawn = [gone._asdict() for gone in record.withdrawn_by]
    return {"id": record.id, "hash": record.hash, "superseded_by": list(record.superseded_by), "withdrawn_by": withdrawn, **record.content}


def summary_lines(records: Iterable[Record]) -> None:
    """A line a record: its name, day, material and lot, index, power, verdict."""
    for record in records:
        s = summary(record)
        lot = f", lot {s['lot']}" if s["lot"] else ""
        power = f"   {with_u(s['power_D'], s['u_power_D'], 'D')}" if s["power_D"] is not None else ""
        replaced = f"   superseded by {s['superseded_by'][0][:12]}" if s["superseded_by"] else ""
        replaced += f"   withdrawn: {s['withdrawn']}" if s["withdrawn"] else ""
        click.echo(f"  {s['id']}  {s['day']}  {s['material']}{lot}   n {with_u(s['n_lens'], s['u_n_lens'])}{power}{replaced}")
        if s["verdict"]:
            click.echo(f"{'':28}{s['verdict']}")


def show_record(record: Record) -> None:
    """A record the way `lenscalc follow` shows a sheet, with what made it before and its hash behind."""
    made, session = record.section("record"), record.section("session")
    heading(f"{session['title']} ({session['provenance']})" if session else f"Record {made['supersedes'][:12]} is withdrawn")
    line("record", record.hash)
    if not record.gives_its_hash:
        paragraph(f"{CHANGED[0].upper()}{CHANGED[1:]}.")
    line("added", f"{made['added_at_utc']} as number {made['number']} of store {made['store'][:8]}")
    line("made by", f"lenscalc {made['lenscalc']}, numpy {made['numpy']}, {made['system']} {made['machine']}")
    line("sheet", f"{made['sheet_name']}, SHA-256 {made['sheet_sha256']}")
    if made.get("supersedes"):
        line("withdraws" if record.is_withdrawal else "supersedes", f"{made['supersedes'][:12]}, because {made['because']}")
    for hash_ in record.superseded_by:
        line("superseded by", hash_[:12])
    for gone in record.withdrawn_by:
        line("withdrawn", f"by {gone.hash[:12]}, because {gone.because}; nothing stands in its place")
    if record.is_withdrawal:
        return
    heading("What was read?")
    line("material", record.material + (f", lot {record.lot}" if record.lot else ""))
    line("instrument", session.get("instrument") or session["instrument_kind"])
    for of in record.rows("lists"):
        n = [r["n"] for r in record.rows("readings") if r["list"] == of["position"]]
        where = f"{of['wavelength_nm']:g} nm, {of['temperature_degC']:g} °C" if "wavelength_nm" in of else ""
        what = of.get("reference_name", of["purpose"])
        line(what, f"{where}{', ' if where else ''}{counted(len(n), 'reading')}, {min(n):g} to {max(n):g}")
    heading("Which index will the lens have in the eye?")
    for s in record.rows("steps"):
        line(s["step"], f"{with_u(s['n'], s['u']):<22} {s['share']:4.0%} of u²{'  ' + s['note'] if s.get('note') else ''}")
    _budget(record, "n_lens", "")
    if record.section("lens"):
        _lens(record)


def _lens(record: Record) -> None:
    lens, decision = record.section("lens"), record.section("decision")
    heading("How strong is a lens of it?")
    line("lens", lens_in_words(lens))
    value_line("power_D", lens["power_D"], lens["u_power_D"])
    _budget(record, "power_D", " D")
    if not decision:
        return
    heading("Would it conform?")
    line("label and limits", f"{decision['labelled_power_D']:g} D, {decision['lower_limit_D']:g} to {decision['upper_limit_D']:g} D")
    if "conformance_probability" in decision:
        line("conformance probability", probability_text(decision["conformance_probability"], required=decision["required_probability"]))
    line("verdict", decision.get("verdict", "none: see below"))
    paragraph(f"Tolerance: {decision['edition']}.")


def _budget(record: Record, quantity: str, unit: str) -> None:
    lines = [b for b in record.rows("budget") if b["quantity"] == quantity]
    for b in lines[:_BUDGET_LINES]:
        line(f"  {b['source']}", f"{b['part']:+.2g}{unit}  ({b['share']:.0%} of u²)")


def history_lines(rows: Sequence[Mapping[str, Any]]) -> None:
    """A lot's history, a line a record."""
    for row in rows:
        power = f"   {with_u(row['power_D'], row['u_power_D'], 'D')}" if row["power_D"] is not None else ""
        replaced = f"   superseded by {row['superseded_by'][:12]}: {row['because']}" if row["superseded_by"] else ""
        replaced += f"   withdrawn: {row['because']}" if row["withdrawn_by"] else ""
        click.echo(
            f"  {row['record'][:12]}  {row['added_at_utc'][:16]}  {row['material']}, {row['state']}, {counted(row['readings'], 'reading')}   "
            f"n {with_u(row['n_lens'], row['u_n_lens'])}{power}{replaced}"
        )
        if row["verdict"]:
            click.echo(f"{'':32}{row['verdict']}")

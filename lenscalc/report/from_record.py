"""A determination built from a record: its sheet, its tolerance table, and what it stands on said beside the figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lenscalc.errors import InputError
from lenscalc.report.determination import Determined, Origin, determine
from lenscalc.report.tree import Figure, printable

if TYPE_CHECKING:
    from lenscalc.records import Again, Record, Store


def determine_record(store: Store, record: Record) -> Determined:
    """The determination of a record, computed again and compared before it is laid out, so that no other figure than the record's is printed.

    The record's name and the head of its store stand on it, with when it was kept, what computed it, and what computing it again gave. What another
    version merely says in other words is told; that a later record supersedes or withdraws this one, too.

    Raises
    ------
    InputError
        where the record is no longer as it was added, a figure does not come out again as it holds it, or this version does not take its sheet:
        then there is nothing to print.
    """
    again = store.again(record)
    if not again.figures_hold:
        raise InputError(_refusal(record, again))
    if not record.gives_its_hash:
        raise InputError(
            f"record {record.id} was changed after it was added: its content no longer gives its hash; nothing was printed: "
            "`lenscalc records check` looks, and the last backup or export has it as it was"
        )
    by = [store.record(name) for name in record.superseded_by]
    return determine(
        store.text_of(record), name=str(record.section("record")["sheet_name"]), tolerance_table=store.tolerance_table_of(record),
        origin=Origin(
            record.hash, store.head(), record.id, _no_longer(record), _figures(record, again), tuple(_remarks(record, again, by)),
        ),
    )  # fmt: skip


def _figures(record: Record, again: Again) -> tuple[Figure, ...]:
    made, then = record.section("record"), again.then
    added = f"{made['added_at_utc'][:19].replace('T', ' ')} UTC as number {made['number']} of store {made['store'][:8]}"
    by = f"lenscalc {then['lenscalc']}, numpy {then['numpy']}, scipy {then['scipy']}, {then['system']} {then['machine']}"
    return (
        Figure("kept", "kept", printable(added)),
        Figure("made_by", "first computed with", printable(by)),
        Figure("again", "computed again for this print", printable(f"{_outcome(again)}, {_with_what(again)}")),
    )


def _outcome(again: Again) -> str:
    return again.outcome if again.holds else "the same figures, not the same words"


def _with_what(again: Again) -> str:
    """What is another one than then.

    The list of a processor's extensions is too long to print: that it is another one is enough.
    """
    if again.is_same_maker:
        return "by the same version, libraries and processor"
    others = [name for name, value in again.then.items() if again.now[name] != value]
    named = [f"{name} {again.now[name]} in place of {again.then[name]}" for name in others if name != "processor"]
    return "by " + ", ".join([*named, *(["another processor"] if "processor" in others else [])])


def _no_longer(record: Record) -> str:
    """Why the record does not stand; empty where it does."""
    superseded = f"superseded by record {', '.join(name[:12] for name in record.superseded_by)}" if record.superseded_by else ""
    return "; ".join([*([superseded] if superseded else []), *(["withdrawn"] if record.withdrawn_by else [])])


def _remarks(record: Record, again: Again, by: list[Record]) -> list[str]:
    told = [
        f"This record is withdrawn, because {gone.because}. It does not stand, and nothing stands in its place." for gone in record.withdrawn_by
    ] + [
        f"This record is superseded by record {new.id}, because {new.section('record')['because']}. This is what was determined before."
        for new in by
    ]
    worded = [d.field for d in again.differences if d.is_of_words]
    if worded:
        told.append(
            f"The record was computed with lenscalc {again.then['lenscalc']}; its figures come out again, but lenscalc {again.now['lenscalc']} says "
            f"something in other words, or more of it: {', '.join(worded[:5])}{' and others' if len(worded) > 5 else ''}"
        )
    return [printable(text) for text in told]


def _refusal(record: Record, again: Again) -> str:
    then, now = again.then["lenscalc"], again.now["lenscalc"]
    if again.refusal:
        return f"record {record.id}: lenscalc {now} does not take its sheet ({again.refusal}); print it with lenscalc {then}, which computed it"
    d = next(d for d in again.differences if not (d.is_of_words or d.is_close) or again.is_same_maker)
    first = f"{d.field} {_text(d.then)} then, {_text(d.now)} now"
    if again.is_same_maker:
        return (
            f"record {record.id}: the same version on the same kind of machine does not give its figures again ({first}); nothing was printed: was "
            "the store changed? `lenscalc records check` looks"
        )
    return (
        f"record {record.id}: lenscalc {now} here gives other figures than the record's, which lenscalc {then} computed ({first}); nothing was "
        f"printed: `lenscalc records again {record.id}` shows them all"
    )


def _text(value: Any) -> str:
    return "nothing" if value is None else repr(value) if isinstance(value, float) else str(value)

"""The page of a table of candidates: bring it, say what to compute, look, take the result away."""

from __future__ import annotations

import numpy as np
import streamlit as st

from lenscalc.batch.ranked import NAMES
from lenscalc.batch.ranked_told import rule_of
from lenscalc.decision import TOLERANCE_EDITION
from lenscalc.errors import FileError
from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.shell import lead_to
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.note import note
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_lines import command_of, python_of
from lenscalc.web.table.batch_results import KINDS, columns_of, in_every_row, names_and_kinds
from lenscalc.web.table.candidates_job import JOB, candidates_job
from lenscalc.web.table.candidates_look import look_at
from lenscalc.web.table.column_words import told_of_file
from lenscalc.web.table.job_watch import is_whole
from lenscalc.web.table.save_legend import save_legend
from lenscalc.web.table.save_results import save_results
from lenscalc.web.table.table_source import (
    BACK,
    MOST_NAMED,
    OF_THE_SHEETS,
    SAVE,
    Table,
    ask_for_file,
    changes_told,
    edit_on_page,
    is_demo,
    is_uploaded,
    say_whether_used,
    table_in_use,
)
from lenscalc.web.table.table_wanted import Wanted, ask_what
from lenscalc.web.table.which_conform import which_conform


def candidates_page() -> None:
    """Draw the page."""
    st.title("A table of candidates")
    st.markdown("Which of several polymers would give a lens that conforms? One row a candidate.")
    answers, form = answers_and_inputs()
    with form:
        place = ask_for_file()
        wanted = ask_what()
    with answers:
        if not is_uploaded():
            with st.expander("The table: write in it, or paste from a spreadsheet"):
                edit_on_page()
                saved = st.container()
        try:
            table = table_in_use()
        except FileError as error:
            st.error(as_text(str(error)), icon=":material/error:")
            return
        if not is_uploaded():
            saved.download_button(SAVE, table.data, table.name, mime="text/csv", on_click="ignore")
        if told := changes_told():
            st.markdown(told)
        job = candidates_job(table, wanted)
        whole = is_whole(job, JOB)
        say_whether_used(place, refused=job.state == "failed")
        if whole:
            _answer(job, table, wanted)
        elif "say by --" in job.error:
            note("On this page it is said under *Signs of this file*, below the field for the file.")
        elif is_uploaded() and ("column" in job.error or "unknown" in job.error):
            note(
                f"Names of columns to go by: *{BACK}*, and there *{SAVE}* gives a file that has them. The heads of the table on the page, "
                "words with their units, are understood too."
            )


def _answer(job: Job, table: Table, wanted: Wanted) -> None:
    _in_short(job)
    which_conform(job.result)
    caution()
    for sentence in job.notes:
        st.info(as_text(told_of_file(sentence)), icon=":material/info:")
    look_at(job)
    if is_demo():
        note(OF_THE_SHEETS)
    if "verdict" in columns_of(job.result) and job.rows > job.problems:
        note(f"Rule: {rule_of(_required(job))}.")
    st.header("Take it away")
    save_results(job, JOB, "results", wanted.ms_a_row)
    save_legend(columns_of(job.result), JOB)
    note(
        "All rows and all columns, those of your own too; the bytes are those that the command writes. A text that a spreadsheet would take for a "
        "formula is saved as a text. The Parquet file holds a statement of what it came from. "
        f"Tolerance of a label for which the table states none: {TOLERANCE_EDITION}."
    )
    lead_to("worth_making", "Which are worth making? Rank these results")
    signs = {"separator": table.separator, "decimal": table.decimal}
    how_computed(
        words="Every row goes the whole way by itself: a reading is carried to the index in use, the index and the dimensions give the power by the "
        "thick lens's equation, and the u of each input, times the power's derivative, is added in squares. The probability is the part of the "
        "normal (or t) distribution of the power within the tolerance about the label. What all rows share, such as the refractometer's calibration, "
        "stands in a column of its own: it does not set candidates apart.",
        equations=(r"u^2(F) = \sum_i \left(\frac{\partial F}{\partial x_i}\right)^2 u^2(x_i)",),
        functions=("thick_lens", "power_sensitivity", "conformance_probability", "power_tolerance_D"),
        command=command_of(job.name, "results.csv", wanted.compute, wanted.constants, table.options),
        python=python_of(job.name, "results.csv", wanted.compute, wanted.constants, **signs),
        file=None if is_uploaded() else (table.name, table.data.decode()),
    )


def _by_name(job: Job) -> str:
    """Who they are, where they are few and have names."""
    if job.rows > MOST_NAMED or job.problems or not set(NAMES) & set(columns_of(job.result)):
        return ""
    names, kinds, all_kinds = names_and_kinds(job.result, np.arange(job.rows))
    of = {kind: [as_text(name) for name, its in zip(names, kinds, strict=True) if its == kind] for kind in all_kinds}
    return ". " + "; ".join(f"{', '.join(named)} {'' if kind in KINDS[:2] else 'are '}{kind}" for kind, named in of.items() if named)


def _in_short(job: Job) -> None:
    """What came of it, in sentences."""
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    from lenscalc.decision.decide import UNDECIDED, WOULD, WOULD_NOT

    good = job.rows - job.problems
    st.header("Which of them would conform?" if "verdict" in columns_of(job.result) else "What powers have they?")
    if not job.rows:
        st.markdown("The table names its columns and has **no row** yet.")
        return
    told = f"Of {job.rows:,} rows **{good:,} could be computed**"
    if not job.problems:
        told = f"All **{job.rows:,} rows** could be computed" if good > 1 else "The **one row** could be computed"
    if not good:
        none = f"**None of the {job.rows:,} rows could" if job.rows > 1 else "**The one row could not"
        told = f"{none} be computed**; what is wrong with {'each' if job.rows > 1 else 'it'} stands beside it"
        if said := in_every_row(job.result):
            told = f"{none} be computed**{'. In every row' if job.rows > 1 else ''}: {as_text(in_page_words('; '.join(said)))}"
    elif "verdict" in columns_of(job.result):
        verdict = pq.read_table(job.result, columns=["verdict"])["verdict"]
        would, would_not, open_ = (int(pc.sum(pc.equal(verdict, v)).as_py() or 0) for v in (WOULD, WOULD_NOT, UNDECIDED))
        without = good - would - would_not - open_
        told += f"; **{would:,} would conform** if cut to the dimensions given, {would_not:,} would not, {open_:,} are not decided"
        told += f", {without:,} {'has' if without == 1 else 'have'} no verdict" if without else ""
        told += _by_name(job)
    else:
        told += "; none has a label, so nothing is decided"
    invented = " All are **invented for the demo**: bring your own, or write over them." if is_demo() else ""
    st.markdown(f"In short: {told}.{invented}")


def _required(job: Job) -> list[float | None]:
    """The probabilities that the rows require, where they state any."""
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    name = "required_probability"
    return list(pc.unique(pq.read_table(job.result, columns=[name])[name]).to_pylist()) if name in columns_of(job.result) else []

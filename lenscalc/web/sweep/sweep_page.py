"""The page of a sweep: a design built from ranges and lists, evaluated, pictured, and saved as the file that the command takes."""

from __future__ import annotations

from typing import Any

import streamlit as st

from lenscalc.errors import InputError
from lenscalc.web.fields.beside import tell, told
from lenscalc.web.shell import lead_to
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.note import note
from lenscalc.web.sweep.sweep_design import CUBE, ONE, rows_in, toml_of
from lenscalc.web.sweep.sweep_form import ask_for_design, check_design
from lenscalc.web.sweep.sweep_job import JOB, NAME, sweep_job
from lenscalc.web.sweep.sweep_look import look_at_sweep
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_lines import command_of, python_of
from lenscalc.web.table.batch_results import columns_of, first_problem
from lenscalc.web.table.job_watch import is_whole
from lenscalc.web.table.save_legend import save_legend
from lenscalc.web.table.save_results import save_results
from lenscalc.web.table.table_wanted import Wanted, ask_what

MOST_ROWS = 100_000


def sweep_page() -> None:
    """Draw the page."""
    st.title("A sweep of designs")
    st.markdown("What becomes of the lens when its dimensions and its index run through ranges? Every combination is a row.")
    answers, form = answers_and_inputs()
    with form:
        fields, points, seed = ask_for_design()
        wanted = ask_what()
    with answers:
        rows = rows_in(fields, points)
        try:
            text = toml_of(fields, points, seed)
            if rows <= MOST_ROWS:
                check_design(text.encode(), NAME)
        except InputError as error:
            tell(InputError(str(error).removeprefix(f"{NAME}: "), quantity=error.quantity))
            return
        st.markdown(f"This design makes **{rows:,} {'row' if rows == 1 else 'rows'}**.")
        st.download_button("Save this design (TOML)", text, NAME, mime="application/toml", on_click="ignore")
        if rows > MOST_ROWS:
            st.info(f"A page computes up to {MOST_ROWS:,} rows. Save the design and let the command do it:", icon=":material/info:")
            st.code(command_of(NAME, "results/", wanted.compute, wanted.constants), language="bash", wrap_lines=True)
            return
        job = sweep_job(text, rows, wanted)
        if is_whole(job, JOB):
            _answer(job, text, fields, wanted)


def _answer(job: Job, text: str, fields: dict[str, dict[str, Any]], wanted: Wanted) -> None:
    if job.problems:
        row, problem = first_problem(job.result)
        st.markdown(f"**{job.problems:,}** of them have a problem, which stands beside the row; the first, row {row + 1:,}: {told(problem)}")
    caution()
    st.header("What becomes of the lens?")
    look_at_sweep(job, [n for n, f in fields.items() if f["how"] not in (ONE, CUBE)], [n for n, f in fields.items() if f["how"] == CUBE])
    st.header("Take it away")
    save_results(job, JOB, "results", wanted.ms_a_row)
    save_legend(columns_of(job.result), JOB)
    note("All rows and all columns; the bytes are those that the command writes for the saved design.")
    lead_to("worth_making", "Which are worth making? Rank these results")
    how_computed(
        words="Every row is a lens of its own and goes through the same functions as a single one: the thick lens's equation, its derivatives, and "
        "what else the design holds enough for. A Latin hypercube lays down its points so that each of their ranges is filled evenly.",
        equations=(r"F = F_1 + F_2 - \frac{t}{n}F_1F_2",),
        functions=("thick_lens", "power_sensitivity", "edge_thickness", "volume"),
        command=command_of(NAME, "results.csv", wanted.compute, wanted.constants),
        python=python_of(NAME, "results.csv", wanted.compute, wanted.constants),
        file=(NAME, text),
    )

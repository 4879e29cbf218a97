"""The page of the ranking: which candidates of a table of results are worth making, and how sure that is."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import streamlit as st

from lenscalc.batch import Ranked, rank_file, write_blocks
from lenscalc.batch.ranked_told import provenance_of
from lenscalc.errors import FileError, InputError
from lenscalc.quantities import counted
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.ranking.ranking_answers import do_they_conform, how_sure, in_order, in_sentences, nobody_beats, the_first_may_not, who_took_part
from lenscalc.web.ranking.ranking_form import LABEL, Asked, ask_how
from lenscalc.web.ranking.ranking_lines import rank_command, rank_python
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.note import note
from lenscalc.web.sweep.sweep_job import JOB as SWEEP_JOB
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import columns_of, varying_numbers
from lenscalc.web.table.candidates_job import JOB, candidates_job
from lenscalc.web.table.job_watch import is_whole
from lenscalc.web.table.kept_results import KeptResults
from lenscalc.web.table.save_legend import save_legend
from lenscalc.web.table.save_results import MIME, WORDS
from lenscalc.web.table.table_source import KINDS, OF_THE_SHEETS, is_demos, table_in_use
from lenscalc.web.table.table_wanted import ALL, wanted

UPLOAD, KEPT = "upload_results", "kept_results"
CANDIDATES, SWEEP, FILE = "those of the table of candidates", "those of the sweep", "a file of results"
TRIALS = 20_000  # good to 0.003, and done while a slider moves
MOST_ROWS, EXCEL_ROWS = 200_000, 20_000


def ranking_page() -> None:
    """Draw the page."""
    st.title("Which are worth making?")
    answers, form = answers_and_inputs()
    with form:
        source = _source()
        if source is None:
            return
        names = varying_numbers(source.result)
        if not names:
            st.info("In these results no column of numbers differs from row to row: there is nothing to rank by.", icon=":material/info:")
            return
        if source.rows > MOST_ROWS:
            st.error(f"{source.rows:,} rows: a page ranks up to {MOST_ROWS:,}; take lenscalc rank RESULTS.", icon=":material/error:")
            return
        asked = ask_how(names, LABEL in columns_of(source.result))
    with answers:
        try:
            if not asked.criteria:
                raise InputError("nothing counts yet: choose at least one column under “What counts?”")
            found = rank_file(str(source.result), asked.criteria, asked.limits, one_instrument=asked.one_instrument, trials=TRIALS)
        except (InputError, FileError) as error:
            st.error(as_text(in_page_words(str(error))), icon=":material/error:")
            return
        _answer(found, asked, source)


def _source() -> Job | KeptResults | None:
    """The results to rank; None, with the reason drawn, while there are none."""
    there = [CANDIDATES, *([SWEEP] if SWEEP_JOB in st.session_state else []), FILE]
    which = choice_field("Which results?", there, key="rank_source")
    if which == FILE:
        return _uploaded()
    key = SWEEP_JOB if which == SWEEP else JOB
    try:
        job: Job = st.session_state[key][1] if key in st.session_state else candidates_job(table_in_use(), wanted(ALL, ()))
    except FileError as error:
        st.error(as_text(in_page_words(str(error))), icon=":material/error:")
        return None
    return job if is_whole(job, key) else None


def _uploaded() -> KeptResults | None:
    file = st.file_uploader("Load results that the batch has written", type=KINDS, key=UPLOAD)
    kept: KeptResults | None = st.session_state.get(KEPT)
    if file is not None and (kept is None or kept.data != file.getvalue()):
        try:
            kept = st.session_state[KEPT] = KeptResults(uploaded_name(file.name), file.getvalue())
        except FileError as error:
            st.error(as_text(in_page_words(str(error))), icon=":material/error:")
            return None
    if kept is None:
        note("A table of candidates goes through *A table of candidates* first, or through the command lenscalc batch.")
    else:
        note(f"In use: {as_text(kept.name)}, {counted(kept.rows, 'row', how=',')}.")
    return kept


def _answer(found: Ranked, asked: Asked, source: Job | KeptResults) -> None:
    if not found.names:
        st.markdown(f"**No candidate is left to rank.** {who_took_part(found)}")
        return
    the_first_may_not(found, asked)
    st.markdown(f"In short: {in_sentences(found, asked)}")
    said = provenance_of(found)
    do_they_conform(found, f" The table says of its candidates: **{as_text(said)}**." if said else "")
    if len(found.names) < found.rows:
        st.markdown(who_took_part(found))
    how_sure(found, asked)
    caution()
    for sentence in found.remarks:
        words = as_text(in_page_words(sentence))
        st.info(f"{words[0].upper()}{words[1:]}.", icon=":material/info:")
    if len(asked.criteria) > 1:
        nobody_beats(found, asked)
    in_order(found, asked)
    if is_demos(source.data):
        note(OF_THE_SHEETS)
    st.header("Take it away")
    for column, ending in zip(st.columns(3), WORDS, strict=True):
        with column:
            if ending == "xlsx" and len(found.names) > EXCEL_ROWS:
                note(f"Excel takes long beyond {EXCEL_ROWS:,} rows: take another, or lenscalc rank --out.")
                continue
            st.download_button(
                f"Save the ranking as {WORDS[ending]}", _writing(found, ending), f"ranked.{ending}", mime=MIME[ending], on_click="ignore",
                key=f"save ranked {ending}", width="stretch",
            )  # fmt: skip
    save_legend(list(found.columns), "ranked", found.explained)
    results = source.name if isinstance(source, KeptResults) else "results.parquet"
    how_computed(
        words="What each candidate is worth in a criterion is set between 0 (worst) and 1 (best of those ranked); the score is their mean "
        "by the weights. Whether one is better than the next: the difference of the two, over its uncertainty, in which the error of a shared "
        "calibration is subtracted with its sign; near a target it is the smaller distance that counts. The ranks come from trials.",
        equations=(r"p = \Phi\!\left(\frac{\Delta}{\sqrt{(u^2-p_c^2)+(u'^2-p_c'^2)+(p_c-p_c')^2}}\right)",),
        functions=("better_probability", "pareto_set", "rank_trials"),
        command=rank_command(results, asked, TRIALS),
        python=rank_python(results, asked, TRIALS),
    )


def _writing(found: Ranked, ending: str) -> Any:
    return lambda: ranked_bytes(found, ending)


def ranked_bytes(found: Ranked, ending: str) -> bytes:
    """All ranked candidates as the file that the command writes."""
    with TemporaryDirectory(prefix="lenscalc-") as folder:
        path = Path(folder) / f"ranked.{ending}"
        write_blocks(str(path), [found.columns], explained=found.explained)
        return path.read_bytes()

"""What the address says and cannot be taken: told beside its field for as long as the value stands there that was put in its place.

The framework drops such a text without a word, at the moment in which its field is drawn; so a field looks at the address before.
"""

from __future__ import annotations

import streamlit as st

_REFUSED = "refused in the address: "


def in_address(key: str) -> str | None:
    """The text that the address has for this field, where it still has one."""
    text = st.query_params.get(key)
    return None if text is None else str(text)


def is_named_twice(key: str) -> bool:
    """Whether the address names this field more than once, which the framework takes of a slider for a range, and drops: noted."""
    times = len(st.query_params.get_all(key))
    if times > 1:
        refuse(key, f"{key} = {', '.join(text[:20] for text in st.query_params.get_all(key)[:3])!r}: named {times} times, and may be one")
    return times > 1


def refuse(key: str, sentence: str) -> None:
    """Note what is wrong with that text."""
    st.session_state[_REFUSED + key] = [sentence]


def still_refused(key: str, given: object, in_words: str) -> str | None:
    """The sentence, with what stands in the field instead; None as soon as somebody has changed the field."""
    held = st.session_state.get(_REFUSED + key)
    if held is None:
        return None
    if len(held) == 1:
        held.append(given)
    if held[1] != given:
        del st.session_state[_REFUSED + key]
        return None
    return f"{held[0]}. So the address says; here stands {in_words} in its place"

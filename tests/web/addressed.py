"""What the browser writes into the address of a page, for tests that have no browser: of every field that the address carries."""

from urllib.parse import urlencode

from shown import HOME
from streamlit.testing.v1 import AppTest

PLAIN = (
    "checkbox", "number_input", "text_input", "selectbox", "radio", "slider", "multiselect", "button_group", "select_slider", "date_input",
)  # fmt: skip


def fields(at):
    """Every field of the page by its key, in the order in which they stand."""
    return {w.key: w for w in _below(at._tree) if getattr(w, "type", None) in PLAIN and w.key}


def is_addressed(field):
    return bool(field.proto.query_param_key)


def as_address(field):
    """The values of a field as the browser writes them, one or more of the same name."""
    value = field.value
    match field.type:
        case "checkbox":
            return [str(value).lower()]
        case "multiselect" | "button_group":
            return [_label(field, v) for v in value]
        case "selectbox" | "radio" | "select_slider":
            return [_label(field, value)]
        case _:
            return ["" if value is None else str(value)]


def address_of(at):
    """The address of the page as it stands, for a new session."""
    return {key: as_address(field) for key, field in fields(at).items() if is_addressed(field)}


def opened(file, address):
    """The page, opened in a session of its own with this address (names to lists of texts)."""
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run().switch_page(str(HOME / "views" / file))
    at.query_params.update({name: list(texts) for name, texts in address.items()})
    return at.run()


def query(address):
    """The same as a text."""
    return urlencode(address, doseq=True)


def _label(field, value):
    return field.format_func(value) if getattr(field, "format_func", None) else str(value)


def _below(node):
    for child in getattr(node, "children", {}).values():
        yield child
        yield from _below(child)

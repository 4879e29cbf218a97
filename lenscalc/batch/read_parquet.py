"""Parquet in: a file, or a folder of parts in the order of their names."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.batch.block import Block
from lenscalc.batch.columns import is_number_column
from lenscalc.batch.read_csv import check_names
from lenscalc.errors import FileError
from lenscalc.own_file import refuse_device
from lenscalc.quantities import is_quantity


def parts_of(path: str) -> list[Path]:
    """The file itself, or the parts in a folder; names that begin with a point or an underscore are no parts.

    Raises
    ------
    FileError
        for a folder without parts, with a folder of parts within it, or with a part that is no file.
    """
    if not Path(path).is_dir():
        return [Path(path)]
    parts = sorted(p for p in Path(path).iterdir() if p.suffix.lower() == ".parquet" and p.name[0] not in "._")
    for within in sorted(p for p in Path(path).iterdir() if p.is_dir() and p.name[0] not in "._"):
        if within in parts or any(p.suffix.lower() == ".parquet" for p in within.iterdir()):
            raise FileError(f"{within}: parts in a folder within the folder are not read: put all parts into one folder, or take that one out")
    if not parts:
        raise FileError(f"{path}: no .parquet part lies in this folder")
    for part in parts:
        refuse_device(part)  # whoever opens a pipe waits for its other end
    return parts


def read_parquet(path: str, block_rows: int) -> Iterator[Block]:
    """Blocks of a Parquet file or of a folder of parts; small buffers, so that memory does not grow with the groups of rows."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    parts = parts_of(path)
    total = sum(_opened(p, pa, pq).metadata.num_rows for p in parts)
    schema = None
    done = 0
    for part in parts:
        file = _opened(part, pa, pq)
        if schema is None:
            schema = file.schema_arrow
            check_names(schema.names, str(part))
            _refuse_half(schema, part, pa)
        elif not file.schema_arrow.equals(schema):
            raise FileError(f"{part}: its columns are not those of {parts[0].name}, in name, order and type")
        try:
            for batch in file.iter_batches(batch_size=block_rows):
                if batch.num_rows:
                    done += batch.num_rows
                    yield _block(batch, done / total)
        except (pa.ArrowException, OSError) as error:
            raise FileError(f"{part}: damaged after row {done:,} of the table: {_first_line(error)}") from None
    if not done and schema is not None:
        yield _block(pa.RecordBatch.from_pylist([], schema=schema), 1.0)


def _refuse_half(schema: Any, part: Path, pa: Any) -> None:
    """A half-precision index of 1.49 is 1.490234375, which is 0.03 D in a lens of 20 D: what was written is not what was meant."""
    half = [n for n, kind in zip(schema.names, schema.types, strict=True) if pa.types.is_float16(kind) and is_number_column(n)]
    if half:
        raise FileError(f"{part}: {', '.join(half)} in half precision, which holds three digits: write float or double")


def _opened(part: Path, pa: Any, pq: Any) -> Any:
    try:
        return pq.ParquetFile(part, pre_buffer=False, buffer_size=1 << 20)
    except (pa.ArrowException, OSError) as error:
        raise FileError(f"{part}: not a whole Parquet file: {_first_line(error)}") from None


def _first_line(error: BaseException) -> str:
    return str(error).splitlines()[0] if str(error) else type(error).__name__


def _block(batch: Any, share: float) -> Block:
    import pyarrow as pa

    columns, types = {}, {}
    for name, array in zip(batch.schema.names, batch.columns, strict=True):
        kind = array.type
        number = pa.types.is_floating(kind) or pa.types.is_integer(kind)
        if (number and is_quantity(name)) or (pa.types.is_floating(kind) and not array.null_count):
            # a whole number beyond 2^53 loses its last digits and is refused in its row, as every number of that size
            columns[name] = array.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False)
        else:
            columns[name] = np.fromiter(array.to_pylist(), dtype=object, count=len(array))
        if not (number and is_quantity(name)) and not pa.types.is_string(kind):
            types[name] = kind
    return Block(columns, types=types, share=share)

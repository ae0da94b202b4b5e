"""The file of samples that [waveform] may name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from crosscurrent.geometries.ordinary_file import FileFault, ordinary_bytes
from crosscurrent.solver.time.sample_table import WaveformError, read_samples
from crosscurrent.solver.time.spectrum import Samples

from .draft import Draft
from .faults import Fault
from .tables.waveform import WaveformTable

MOST_BYTES = 5_000_000

def samples_of(table: WaveformTable | None, folder: Path) -> tuple[str, Samples] | None:
    """Text and samples of the file that the table names, counted from a folder; None if it names none.

    Raises
    ------
    WaveformError
    """
    if table is None or table.file is None or table.frequency is None:
        return None
    path = folder / table.file
    try:
        text = ordinary_bytes(path, MOST_BYTES, "a period of some thousand samples will do").decode("utf-8-sig")
    except FileFault as fault:
        raise WaveformError(table.file, fault.expected, fault.found, fault.hint) from None
    except (OSError, ValueError) as error:
        why = "no such file" if isinstance(error, FileNotFoundError) else "one that cannot be read as text"
        raise WaveformError(table.file, "a file beside the case file", why, "check its name") from None
    return text, read_samples(text, table.frequency, path.name)


def file_faults(draft: Draft, folder: Path) -> Iterator[Fault]:
    """A file of samples that cannot be used; none where its table is at fault itself."""
    try:
        samples_of(draft.waveform, folder)
    except WaveformError as error:
        yield draft.fault(("waveform", "file"), f"in {error.where}: {error.expected}", error.found, error.hint)

"""Writing a file so that what was there is not lost when something goes wrong."""

from __future__ import annotations

import contextlib
import os
import tempfile

from flockcheck.cli import Trouble
from flockcheck.workshop import os_words


def replace_file(path: str, text: str) -> None:
    """Write a file whole or not at all. Raises Trouble where it can't be written."""
    folder = os.path.dirname(os.path.abspath(path))
    part = ""
    try:
        if os.path.exists(path) and not os.path.isfile(path):
            # A device or pipe can't be replaced, only written to.
            with open(path, "w", encoding="utf-8") as file:
                file.write(text)
            return
        handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        # mkstemp makes a private file; the report gets the mode any new file here would have.
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(part, 0o666 & ~mask)
        os.replace(part, path)
    except OSError as error:
        if part:
            with contextlib.suppress(OSError):
                os.unlink(part)
        raise Trouble(f"{path} can't be written: {os_words(error)}") from None

"""Setup files and folders: finding them, opening what may be anything, and saying what is wrong.

Whatever a path leads to, nobody waits for it in vain: a pipe that nothing writes to, a device or a
socket is refused in plain words.
"""

from __future__ import annotations

import errno
import os
import stat
import sys

from flockcheck.setup.reader import read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.text.document import MOST_BYTES

# What setup files are called.
NAMES = ("flock.yaml",)
ENDING = ".flock.yaml"

_DENIED = "you may not read it, or write it"
_FULL = "there is no room left"
_WORDS = {
    errno.ENOENT: "there is no such file or folder",
    errno.EACCES: _DENIED,
    errno.EPERM: _DENIED,
    errno.EISDIR: "this is a folder, not a file",
    errno.ENOTDIR: "a file stands where a folder should",
    errno.ELOOP: "this link leads round in a circle",
    errno.ENAMETOOLONG: "this name is too long",
    errno.ENXIO: "nothing can be read from it or written to it: it is no file",
    errno.ENODEV: "this is a device, not a file",
    errno.ESPIPE: "this is a pipe, and nothing came through it",
    errno.ENOSPC: _FULL,
    errno.EFBIG: _FULL,
    errno.EDQUOT: _FULL,
    errno.EROFS: "it lies on a disk that can only be read",
    errno.EIO: "the disk or the network failed",
    errno.EMFILE: "too many files are open already",
    errno.EBUSY: "another program is using it",
}


def os_words(error: OSError) -> str:
    """What the system says of a file or folder, in plain words."""
    name = error.filename
    if error.errno == errno.ENOENT and name and os.path.islink(name):
        return "this link leads nowhere"
    return _WORDS.get(error.errno or 0) or error.strerror or str(error) or type(error).__name__


def shown(path: str) -> str:
    """A path as reports show it: relative to here where it lies below, with `/`."""
    if not path:
        return '""'
    try:
        full, here = os.path.abspath(path), os.getcwd()
    except OSError:
        full, here = path, os.sep
    inside = full.startswith(here.rstrip(os.sep) + os.sep) and here != os.sep
    return readable((os.path.relpath(full, here) if inside else path).replace(os.sep, "/"))


def readable(name: str) -> str:
    """A name that is no UTF-8 as far as it can be shown."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def inside(path: str, folder: str) -> bool:
    """Whether a path, its links followed, lies in a folder or is the folder itself."""
    full, root = os.path.realpath(path), os.path.realpath(folder)
    return full == root or full.startswith(root.rstrip(os.sep) + os.sep)


def read_start(path: str, most: int, *, whole: bool = False) -> bytes:
    """A file's bytes, `most` of them at most.

    Raises OSError where there is none, for a device and for a pipe that nothing writes to; a pipe
    that something writes to is read to its end. With `whole` it must be a file on a disk.
    """
    # Opening a pipe without a writer would wait for one for ever.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0)
    handle = os.open(path, flags | getattr(os, "O_BINARY", 0))
    try:
        kind = os.fstat(handle).st_mode
        if whole and stat.S_ISFIFO(kind):
            # It is not waited for, even if something might come.
            raise OSError(errno.ESPIPE, os.strerror(errno.ESPIPE), path)
        if stat.S_ISCHR(kind) or stat.S_ISBLK(kind):
            raise OSError(errno.ENODEV, os.strerror(errno.ENODEV), path)
        if stat.S_ISFIFO(kind):
            os.set_blocking(handle, True)
        with open(handle, "rb", closefd=False) as file:
            data = file.read(most)
        if not data and stat.S_ISFIFO(kind):
            raise OSError(errno.ESPIPE, os.strerror(errno.ESPIPE), path)
        return data
    finally:
        os.close(handle)


def read_setup_file(path: str) -> Setup:
    """A setup from a file, or from standard input for `-`.

    Raises SetupError with every mistake in it, OSError where it can't be read at all.
    """
    if path == "-":
        if sys.stdin is None:
            raise OSError(errno.EBADF, "it is closed")
        return read_setup_bytes(sys.stdin.buffer.read(MOST_BYTES + 1), "-")
    return read_setup_bytes(read_start(path, MOST_BYTES + 1), shown(path))

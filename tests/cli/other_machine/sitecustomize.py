"""A Python that lacks what Windows lacks, and refuses what Windows refuses; put on the path.

What can be had of it on another system: modules and functions that are not there, files that are
neither moved, replaced nor taken away while this process holds them open, a folder that is no file,
names that are none, and processes that are always started anew. Open files are found by ``/proc``.
"""

import builtins
import importlib.abc
import io
import multiprocessing
import os
import shutil
import signal
import sys
import warnings
from pathlib import Path

LACKING = frozenset({"fcntl", "grp", "pty", "resource", "spwd", "syslog", "termios", "tty"})
OF_SYSTEM = (
    "fork", "forkpty", "sched_getaffinity", "sched_setaffinity", "killpg", "getpgid", "setsid",
    "nice", "mkfifo", "mknod", "chown", "lchown", "fchown", "statvfs", "pread", "pwrite",
    "sendfile", "getloadavg", "O_NOFOLLOW", "O_DIRECTORY", "O_NONBLOCK", "ttyname",
)  # fmt: skip
OF_SIGNALS = (
    "SIGALRM", "SIGHUP", "SIGPIPE", "SIGQUIT", "SIGUSR1", "SIGUSR2", "SIGCHLD",
    "pthread_sigmask", "pthread_kill", "setitimer", "alarm", "sigwait", "pause",
)  # fmt: skip


class Lacking(importlib.abc.MetaPathFinder):
    def find_spec(self, name, _path=None, _target=None):
        if name in LACKING:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)


def is_held(path, *, within=False):
    """Whether this process has a file open, or one within a folder."""
    place = os.path.realpath(path)
    for link in os.listdir("/proc/self/fd"):  # noqa: PTH208  (pathlib comes here itself)
        try:
            held = os.readlink(f"/proc/self/fd/{link}")  # noqa: PTH115
        except OSError:
            continue
        if held == place or (within and held.startswith(f"{place}/")):
            return True
    return False


def refuse(path, other=None):
    what = "The process cannot access the file because it is being used by another process"
    raise PermissionError(13, what, os.fspath(path), None, other and os.fspath(other))


def refuse_name(path):
    name = os.fspath(path).rpartition("/")[2]
    if set(name) & set('<>:"|?*') or name.endswith((".", " ")):
        raise OSError(22, "Invalid argument", os.fspath(path))


def unlink(path, *, dir_fd=None, do=os.unlink):
    refuse(path) if is_held(path) else do(path, dir_fd=dir_fd)


def rmdir(path, *, dir_fd=None, do=os.rmdir):
    refuse(path) if is_held(path, within=True) else do(path, dir_fd=dir_fd)


def rename(path, other, do=os.rename):
    refuse_name(other)
    if is_held(path, within=True):
        refuse(path, other)
    if Path(other).exists():
        raise FileExistsError(17, "Cannot create a file when that file already exists", path)
    do(path, other)


def replace(path, other, do=os.replace):
    refuse_name(other)
    if is_held(path, within=True) or is_held(other) or Path(other).is_dir():
        refuse(path, other)
    do(path, other)


def open_low(path, flags, mode=0o777, *, dir_fd=None, do=os.open):
    if isinstance(path, str | os.PathLike):
        if Path(path).is_dir():
            refuse(path)
        if flags & os.O_CREAT:
            refuse_name(path)
    return do(path, flags, mode, dir_fd=dir_fd)


def open_file(file, mode="r", *more, do=io.open, **named):
    if isinstance(file, str | os.PathLike) and set(mode) & set("wxa"):
        refuse_name(file)
    return do(file, mode, *more, **named)


for name in LACKING:
    sys.modules.pop(name, None)
sys.meta_path.insert(0, Lacking())
for module, names in ((os, OF_SYSTEM), (signal, OF_SIGNALS)):
    for name in names:
        if hasattr(module, name):
            delattr(module, name)
shutil._use_fd_functions = False  # type: ignore[attr-defined]
if hasattr(shutil, "_rmtree_unsafe"):
    shutil._rmtree_impl = shutil._rmtree_unsafe  # type: ignore[attr-defined]
os.unlink = os.remove = unlink
os.rmdir, os.rename, os.replace = rmdir, rename, replace  # type: ignore[assignment]
os.open, io.open, builtins.open = open_low, open_file, open_file
multiprocessing.set_start_method("spawn")
# what names no encoding takes the code page of each machine
warnings.filterwarnings("ignore", category=EncodingWarning)  # libraries' own
warnings.filterwarnings("error", category=EncodingWarning, module=r"gradevol(\.|$)")

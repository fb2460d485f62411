"""What the tests of installed files share: the words they are called with, and running programs away from the checkout."""

import os
import pathlib
import shutil
import subprocess
import sys

SOURCE, BUILD, WORK = (pathlib.Path(word) for word in sys.argv[1:4])


def empty_work():
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    return WORK


def run(*words, cwd=None, **more):
    """Standard output of a command that has to succeed, run without the variables of whoever runs the tests."""
    done = subprocess.run([str(word) for word in words], cwd=cwd or WORK, capture_output=True, text=True,
                          env={"PATH": "/usr/bin:/bin:/usr/sbin:/sbin", "HOME": str(WORK), "LC_ALL": "C.UTF-8", **more})
    if done.returncode != 0:
        raise AssertionError(f"{words} returned {done.returncode}: {done.stdout[-2000:]}{done.stderr[-2000:]}")
    return done.stdout


def installed(prefix):
    run("cmake", "--install", BUILD, "--prefix", prefix)
    return prefix


def files_below(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file() or path.is_symlink())


def is_there(program):
    return shutil.which(program, path=os.environ.get("PATH", "") + ":/usr/sbin:/sbin") is not None

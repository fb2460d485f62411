#!/usr/bin/env python3
"""Follows a manual as a reader would: every command of its blocks is run, in their order, in one empty folder, and what the manual
shows of their output is what they print.

    tests/manual/manual_test.py PROGRAMS CHECKOUT SCRATCH docs/MANUAL.md [FOLDER...]

PROGRAMS has ampturn and ampturn-sim; FOLDERs of the checkout are copied into the empty folder first. A command has to end with 0
unless `echo $?` behind it shows otherwise. How blocks are written: examples.py. Prints what differs and exits with 1."""
import os
import pty
import shutil
import signal
import subprocess
import sys
import threading

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import examples

QUESTION = "]: "
LONGEST_S = 120  # until a command that waits for Ctrl-C, and did not print what it is waited for, is ended


class Reader:
    def __init__(self, programs, folder):
        self.folder = folder
        self.code = 0  # of the command before, for `echo $?`
        self.environment = {**os.environ, "PATH": programs + os.pathsep + os.environ["PATH"], "LC_ALL": "C.UTF-8"}

    def shell(self, text):
        return ["bash", "-c", f"(exit {self.code}); {text}"]

    def run(self, command):
        if command.interrupted_after:
            return self.run_until_interrupted(command)
        if any(QUESTION in line + " " for line in command.shown):
            return self.run_with_answers(command)
        done = subprocess.run(self.shell(command.text), cwd=self.folder, env=self.environment, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)
        return done.returncode, done.stdout.decode()

    def run_until_interrupted(self, command):
        with subprocess.Popen(["bash", "-c", "exec " + command.text], cwd=self.folder, env=self.environment, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT) as running:
            too_long = threading.Timer(LONGEST_S, running.kill)
            too_long.start()
            said = ""
            for line in iter(running.stdout.readline, b""):
                said += line.decode()
                if line.decode().rstrip() == command.interrupted_after:
                    running.send_signal(signal.SIGINT)
            too_long.cancel()
            return running.wait(), said

    def run_with_answers(self, command):
        """On a terminal, which echoes what is typed: so the whole conversation is compared."""
        answers = [(line + " ").split(QUESTION, 1)[1].strip() for line in command.shown if QUESTION in line + " "]
        child, terminal = pty.fork()
        if child == 0:
            os.chdir(self.folder)
            os.execvpe("bash", self.shell(command.text), self.environment)
        said = b""
        try:
            while True:
                said += os.read(terminal, 65536)
                if answers and said.endswith(QUESTION.encode()):
                    os.write(terminal, (answers.pop(0) + "\n").encode())
        except OSError:
            pass  # the terminal is closed when the program has ended
        os.close(terminal)
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), said.decode()


def follow_commands(reader, block, following):
    """What went otherwise than shown, a text each, and how many commands were run."""
    wrong, listed = [], examples.commands(block)
    for command, after in zip(listed, listed[1:] + [None]):
        code, printed = reader.run(command)
        if code != 0 and not (after and after.text == "echo $?"):
            wrong.append(f"{following}:{command.line}: ends with {code}: {command.text}\n{printed}")
        missing = examples.differs(command.shown, printed)
        if missing is not None:
            wrong.append(f"{following}:{command.line}: {command.text}\nshown:\n{missing}\nprinted:\n{printed}")
        reader.code = code
    return wrong, len(listed)


def follow(reader, path, following):
    with open(path, encoding="utf-8") as file:
        blocks, wrong = examples.blocks(file.read())
    wrong = [f"{following}:{complaint}" for complaint in wrong]
    count = 0
    for block in blocks:
        target = os.path.join(reader.folder, block.name)
        if block.kind == "console":
            more, run = follow_commands(reader, block, following)
            wrong += more
            count += run
        elif block.kind == "diff":
            with open(target, encoding="utf-8") as file:
                text = file.read()
            try:
                text = examples.changed(text, block.lines)
            except ValueError as error:
                wrong.append(f"{following}:{block.line}: {block.name}: {error}")
            with open(target, "w", encoding="utf-8") as file:
                file.write(text)
        else:
            with open(target, "w", encoding="utf-8") as file:
                file.write("\n".join(block.lines) + "\n")
    if count < 5:
        wrong.append(f"{following}: only {count} commands found; does this test still read it?")
    return wrong


def main():
    programs, checkout, scratch, manual, *folders = sys.argv[1:]
    shutil.rmtree(scratch, ignore_errors=True)
    os.makedirs(scratch)
    for folder in folders:
        shutil.copytree(os.path.join(checkout, folder), os.path.join(scratch, folder))
    wrong = follow(Reader(os.path.abspath(programs), os.path.abspath(scratch)), os.path.join(checkout, manual), manual)
    print("\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())

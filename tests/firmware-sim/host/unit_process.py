"""Starts ampturn-sim for a test and ends it; finds its free ports in what it prints."""
import atexit, os, signal, shutil, socket, subprocess, sys, tempfile, time

PROGRAM = sys.argv[1]


class Unit:
    def __init__(self, *flags, command=(), options=None):
        self.folder = tempfile.mkdtemp(prefix="ampturn-")
        self.log = os.path.join(self.folder, "log.jsonl")
        line = [PROGRAM, *command, "--scpi-port", "0", "--panel-port", "0", "--start-utc", "2026-06-01T08:00:00Z",
                "--log", self.log, *flags]
        self.process = subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **(options or {}))
        atexit.register(self.clear)
        self.lines = {}
        while "log" not in self.lines:
            text = self.process.stdout.readline()
            if not text:
                raise SystemExit("ampturn-sim did not start: " + self.process.stderr.read())
            word, _, rest = text.strip().partition(" ")
            self.lines[word] = rest
        self.host, _, port = self.lines["scpi"].rpartition(":")
        self.scpi_port = int(port)
        self.panel = self.lines["panel"]
        self.panel_port = int(self.panel.split("//")[1].split("/")[0].rpartition(":")[2])

    def clear(self):
        if self.process.poll() is None:
            self.process.kill()
        shutil.rmtree(self.folder, ignore_errors=True)

    def connect(self, timeout=30):
        return Client(socket.create_connection((self.host, self.scpi_port), timeout=timeout))

    def stop(self, sign=signal.SIGTERM, seconds=30):
        """Ends the process; its exit code."""
        self.process.send_signal(sign)
        self.process.communicate(timeout=seconds)
        return self.process.returncode


class Client:
    def __init__(self, connection):
        self.socket = connection
        self.bytes = b""

    def write(self, text):
        self.socket.sendall(text.encode("latin-1") + b"\n")

    def read(self):
        while b"\n" not in self.bytes:
            piece = self.socket.recv(65536)
            if not piece:
                raise EOFError("closed")
            self.bytes += piece
        line, self.bytes = self.bytes.split(b"\n", 1)
        return line.decode("latin-1")

    def query(self, text):
        self.write(text)
        return self.read()

    def close(self):
        self.socket.close()


def wait_for(what, condition, seconds=30):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if condition():
            return
        time.sleep(0.02)
    raise SystemExit("never happened: " + what)


def expect(condition, what):
    if not condition:
        raise SystemExit("failed: " + str(what))

"""Bad company: the unit keeps its timing, answers others, and ends cleanly."""
import atexit, json, os, random, resource, select, signal, socket, struct, subprocess, sys, threading, time

from unit_process import PROGRAM, Unit, expect, wait_for


WATCH_S = float(os.environ.get("AMPTURN_WATCH_S", "14"))  # an hour's patience on request


def records(unit):
    return [json.loads(line) for line in open(unit.log, encoding="utf-8")]


def http(unit, text, read=True):
    s = socket.create_connection((unit.host, unit.panel_port), timeout=20)
    s.sendall(text if isinstance(text, bytes) else text.encode("latin-1"))
    answer = b""
    while read:
        try:
            piece = s.recv(65536)
        except (TimeoutError, ConnectionResetError):
            break
        if not piece:
            break
        answer += piece
    s.close()
    return answer


def status(answer):
    return int(answer.split(b" ")[1]) if answer.startswith(b"HTTP/") else 0


def host_and_origin(unit):
    good = f"127.0.0.1:{unit.panel_port}"
    end = "Connection: close\r\n\r\n"
    upgrade = "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n"
    rows = [
        (f"GET / HTTP/1.1\r\nHost: {good}\r\n{end}", 200),
        (f"GET / HTTP/1.1\r\nHost: localhost:{unit.panel_port}\r\n{end}", 200),
        (f"HEAD /style.css HTTP/1.1\r\nHost: {good}\r\n{end}", 200),
        (f"GET / HTTP/1.1\r\nHost: evil.example:{unit.panel_port}\r\n{end}", 421),
        (f"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n{end}", 421),
        (f"GET / HTTP/1.1\r\n{end}", 421),
        (f"GET / HTTP/1.1\r\nHost: {good}\r\nOrigin: http://evil.example\r\n{end}", 403),
        (f"GET /ws HTTP/1.1\r\nHost: {good}\r\nOrigin: null\r\n{upgrade}\r\n", 403),
        (f"GET /ws HTTP/1.1\r\nHost: {good}\r\nOrigin: https://{good}\r\n{upgrade}\r\n", 403),
        (f"GET /ws HTTP/1.1\r\nHost: {good}\r\n{end}", 426),
        (f"GET /../etc/passwd HTTP/1.1\r\nHost: {good}\r\n{end}", 404),
        (f"GET /nothing HTTP/1.1\r\nHost: {good}\r\n{end}", 404),
        (f"POST / HTTP/1.1\r\nHost: {good}\r\nContent-Length: 3\r\n{end}abc", 413),
        (f"PUT / HTTP/1.1\r\nHost: {good}\r\n{end}", 405),
        (f"GET / HTTP/1.1\r\nHost: {good}\r\nContent-Length: 99999999\r\n{end}", 413),
        (f"GET / HTTP/1.1\r\nHost: {good}\r\nX: {'a' * 9000}\r\n{end}", 431),
        ("NONSENSE\r\n\r\n", 400),
        (f"GET / HTTP/1.1\r\nHost: {good}\r\nHost: evil.example\r\n{end}", 400),
        (f"GET / HTTP/1.1\r\nHost: evil.example\r\nHost: {good}\r\n{end}", 400),
    ]
    for text, wanted in rows:
        got = status(http(unit, text))
        expect(got == wanted, f"{got} instead of {wanted} for {text[:120]!r}")
    s = socket.create_connection((unit.host, unit.panel_port), timeout=20)
    s.sendall(f"GET /ws HTTP/1.1\r\nHost: {good}\r\nOrigin: http://{good}\r\n{upgrade}\r\n".encode())
    expect(b" 101 " in s.recv(4096), "WebSocket of our own page")
    s.sendall(os.urandom(2000))  # no frames at all
    s.close()


def browser_on_the_language(unit):
    """A page of another site posts to the command language's port: nothing of it is done, the connection ends."""
    good = unit.connect()
    wait_for("standby", lambda: good.query("SYST:STAT?") == "standby")
    before = len(records(unit))
    for text in ("POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nOrigin: http://evil.example\r\nContent-Type: text/plain\r\n\r\nARM\nINIT\n",
                 "Content-Type: text/plain\r\nARM\r\nINIT\r\n", "GET /ARM;INIT HTTP/1.1\r\n\r\n"):
        s = socket.create_connection((unit.host, unit.scpi_port), timeout=20)
        s.sendall(text.encode())
        try:
            expect(s.recv(100) == b"", "an answer to a browser")
        except ConnectionResetError:
            pass
        s.close()
    expect(good.query("SYST:STAT?;ERR?") == 'standby;0,"No error"', "a browser moved the unit")
    texts = [r.get("text", "") for r in records(unit)[before:] if r["what"] == "in" and r.get("kind") == "message"]
    expect(all("ARM" not in text and "HTTP" not in text for text in texts), texts)
    good.close()


def watching(unit):
    """Panels that only watch are not dropped: longer than any deadline for writing, nothing said."""
    key = "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n"
    sockets = []
    for _ in range(20):
        s = socket.create_connection((unit.host, unit.panel_port), timeout=20)
        s.sendall(f"GET /ws HTTP/1.1\r\nHost: 127.0.0.1:{unit.panel_port}\r\nOrigin: http://127.0.0.1:{unit.panel_port}\r\n{key}\r\n".encode())
        sockets.append(s)
    end = time.monotonic() + WATCH_S
    last = [0.0] * len(sockets)
    answer_pings_at = time.monotonic() + 20
    while time.monotonic() < end:
        if time.monotonic() > answer_pings_at:  # as every browser does by itself
            answer_pings_at += 20
            for s in sockets:
                s.sendall(b"\x8a\x80\0\0\0\0")
        for s in select.select(sockets, [], [], 0.5)[0]:
            i = sockets.index(s)
            data = s.recv(1 << 16)
            expect(data, f"watching panel {i} dropped {end - time.monotonic():.1f} s before the end of {WATCH_S} s")
            last[i] = time.monotonic()
    expect(min(last) > end - 2, "a watching panel has no picture any more")
    for s in sockets:
        s.close()


def noise(unit):
    """10^5 malformed lines in a few pipelines, and malformed HTTP."""
    rng = random.Random(5025)
    print("seed 5025")

    def lines(count):
        s = socket.create_connection((unit.host, unit.scpi_port), timeout=60)
        reader = threading.Thread(target=lambda: drain(s), daemon=True)
        reader.start()
        alphabet = b"*:;?,#'\"() \tABCdef019.+-\xff\x80\x00"
        for _ in range(count // 1000):
            s.sendall(b"".join(bytes(rng.choices(alphabet, k=rng.randrange(12))) + b"\n" for _ in range(1000)))
        s.sendall(b"\n" * 3 + b"SYST:ERR:COUN?\n")
        s.shutdown(socket.SHUT_WR)  # half-closed: the answers still come
        reader.join(60)
        expect(not reader.is_alive(), "half-closed client was left hanging")

    threads = [threading.Thread(target=lines, args=(25000,)) for _ in range(4)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    for _ in range(300):
        http(unit, bytes(rng.choices(b"GET /HTP1.\r\n: \xff\x00", k=rng.randrange(1, 200))) + b"\r\n\r\n", read=False)


def drain(s):
    try:
        while s.recv(65536):
            pass
    except OSError:
        pass


def bad_company(unit):
    """Silent, slow, flooding, never-reading, resetting and too many clients, while a sweep runs and another client polls."""
    stop = threading.Event()
    silent = [socket.create_connection((unit.host, unit.scpi_port)) for _ in range(3)]

    def flood():  # asks and never reads
        s = socket.create_connection((unit.host, unit.scpi_port))
        s.settimeout(0.2)
        while not stop.is_set():
            try:
                s.sendall(b"*IDN?\n" * 500)
            except OSError:
                time.sleep(0.01)

    def slow():
        s = socket.create_connection((unit.host, unit.scpi_port))
        for byte in b"SYST:ERR?;" * 1000:
            if stop.is_set():
                return
            s.sendall(bytes([byte]))
            time.sleep(0.005)

    def resetting():
        while not stop.is_set():
            try:
                s = socket.create_connection((unit.host, unit.scpi_port), timeout=1)
                s.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
                s.sendall(b"*OPC?\n*IDN?\n")
                s.close()
            except OSError:
                pass
            time.sleep(0.01)

    good = unit.connect()
    wait_for("standby", lambda: good.query("SYST:STAT?") == "standby")
    good.write("LIST:FREQ 96,384;CURR 2;DWEL 1.5;LOOP A,B;TAP 3,2;CAP 0")
    threads = [threading.Thread(target=f, daemon=True) for f in (flood, flood, slow, resetting)]
    for t in threads:
        t.start()
    latencies = []
    good.write("ARM;INIT")
    states = set()
    while not ("sending" in states and "standby" in states):
        begin = time.monotonic()
        state = good.query("SYST:STAT?")
        latencies.append(time.monotonic() - begin)
        if state != "standby" or "sending" in states:
            states.add(state)
        time.sleep(0.01)
    crowd = []
    for _ in range(40):
        crowd.append(socket.create_connection((unit.host, unit.scpi_port)))
    expect(good.query("*OPC?") == "1", "answered in a crowd")
    stop.set()
    for s in crowd + silent:
        s.close()
    latencies.sort()
    print(f"other client's answers: {len(latencies)}, median {latencies[len(latencies) // 2] * 1e3:.2f} ms, "
          f"worst {latencies[-1] * 1e3:.1f} ms (information, not a limit)")
    good.close()


def timing_held(unit):
    """Virtual deadlines: each dwell exactly whole cycles long, each step where the table puts it."""
    lines = [r for r in records(unit) if r["what"] == "line"]
    expect(len(lines) >= 2, "lines in the log")
    for line in lines:
        cycles, rest = divmod(line["end_tick"] - line["start_tick"], line["divisor"])
        expect(rest == 0 and line["complete"], line)
    first, second = lines[0], lines[1]
    ramp = [24_000_000 // 5 // l["divisor"] * l["divisor"] for l in (first, second)]
    gap, settle = 24_000_000 // 20, 24_000_000 // 50
    expect(second["start_tick"] - first["end_tick"] == ramp[0] + gap + settle + ramp[1], "second step started where the table puts it")
    trips = [r for r in records(unit) if r.get("event") == "trip"]
    expect(not trips, trips)


def ends_cleanly():
    unit = Unit("--speed", "5")
    client = unit.connect()
    wait_for("standby", lambda: client.query("SYST:STAT?") == "standby")
    client.write("ARM;INIT")
    wait_for("sending", lambda: client.query("SYST:STAT?") == "sending")
    expect(unit.stop() == 0, "exit code after SIGTERM")
    log = records(unit)
    expect(log[-1]["what"] == "end" and log[-1]["state"] == "standby", log[-1])
    moves = [(r["from"], r["to"]) for r in log if r.get("event") == "state"]
    expect(moves[-2:] == [("sending", "stopping"), ("stopping", "standby")], moves)
    expect(subprocess.run([PROGRAM, "replay", unit.log], stdout=subprocess.DEVNULL).returncode == 0, "replay")


def ends_by_every_signal():
    """Ramped down, and the record says which signal it was."""
    for sign in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        unit = Unit("--speed", "20")
        client = unit.connect()
        wait_for("standby", lambda: client.query("SYST:STAT?") == "standby")
        client.write("ARM;INIT")
        wait_for("sending", lambda: client.query("SYST:STAT?") == "sending")
        expect(unit.stop(sign) == 0, f"exit code after {sign.name}")
        last = records(unit)[-1]
        expect(last["what"] == "end" and last["why"] == sign.name and last["state"] == "standby", last)


def log_that_ends_early():
    """At its quota, and on a disc that takes no more: the unit runs on, says so to clients, and what is kept replays."""
    def small_disc():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))

    for flags, options, whole in ((("--log-limit", "0.1"), {}, True), ((), {"preexec_fn": small_disc}, False)):
        unit = Unit("--speed", "20", *flags, options=options)
        client = unit.connect()
        wait_for("standby", lambda: client.query("SYST:STAT?") == "standby")
        client.query("SYST:ERR:ALL?")
        for _ in range(3000):
            client.query("MEAS:VOLT?")
            if client.query("SYST:ERR:COUN?") != "0":
                break
        expect(client.query("SYST:ERR?").startswith("-250,"), "clients are told that the log has ended")
        client.write("ARM;INIT")
        wait_for("sending", lambda: client.query("SYST:STAT?") == "sending")
        expect(unit.stop() == 0, "exit code without a log")
        expect(os.path.getsize(unit.log) <= 100_000, "the quota")
        done = subprocess.run([PROGRAM, "replay", unit.log], capture_output=True, text=True)
        expect(done.returncode == 0 and "same" in done.stdout, done)
        expect(("the log was full" in done.stdout) == whole, done.stdout)


def damaged_log():
    """Damage inside is an error with its line; a tail that was cut passes with a word."""
    unit = Unit("--speed", "max")
    client = unit.connect()
    wait_for("standby", lambda: client.query("SYST:STAT?") == "standby")
    expect(unit.stop() == 0, "exit code")
    lines = open(unit.log, "rb").read().splitlines(keepends=True)
    damaged = os.path.join(unit.folder, "damaged.jsonl")
    sheet = ["logsheet", damaged, "--output", os.path.join(unit.folder, "sheet")]
    for what, kept in (("changed", lines[:4] + [lines[4].replace(b"a", b"e", 1)] + lines[5:]), ("left out", lines[:4] + lines[5:]),
                       ("exchanged", lines[:4] + [lines[5], lines[4]] + lines[6:])):
        with open(damaged, "wb") as f:
            f.write(b"".join(kept))
        for command in (["replay", damaged], sheet):
            done = subprocess.run([PROGRAM, *command], capture_output=True, text=True)
            expect(done.returncode == 2 and f"{damaged}:5:" in done.stderr and done.stderr.count("\n") == 1, (what, done))
    with open(damaged, "wb") as f:
        f.write(b"".join(lines)[:-30])
    for command in (["replay", damaged], sheet):
        done = subprocess.run([PROGRAM, *command], capture_output=True, text=True)
        expect(done.returncode == 0 and "what stands before it" in done.stdout, done)


def words_before_a_command():
    for line in (["--speed", "60", "drill", "x.toml"], ["--seed", "3", "replay", "x.jsonl"], ["--plan", "x.toml", "logsheet", "x.jsonl"]):
        done = subprocess.run([PROGRAM, *line], capture_output=True, text=True, timeout=20)
        expect(done.returncode == 2 and line[0] in done.stderr and "behind its name" in done.stderr and done.stderr.count("\n") == 1, done)
    for line in (["replay", "/dev/zero"], ["logsheet", "/dev/zero"], ["--plan", "/dev/zero"], ["drill", "/dev/zero"]):
        done = subprocess.run([PROGRAM, *line], capture_output=True, text=True, timeout=20)
        expect(done.returncode == 2 and "/dev/zero: found a device" in done.stderr and done.stderr.count("\n") == 1, done)


def checked_drills():
    folder = os.path.join(os.path.dirname(__file__), "../../../demo/drills")
    for name in sorted(os.listdir(folder)):
        done = subprocess.run([PROGRAM, "drill", "--check", os.path.join(folder, name)], capture_output=True, text=True, timeout=20)
        expect(done.returncode == 0 and "a valid drill" in done.stdout and "100 points" in done.stdout, done)
    first = os.path.join(folder, "first_start.toml")
    for words, found in ((["course", "/nowhere"], "/nowhere"), (["course", os.path.dirname(folder)], "title"), (["course", folder, "--speed", "max"], "--speed"),
                         (["course", folder, "--results", first], "class sheet"), (["course", folder, "--results", "/dev/zero"], "/dev/zero"),
                         (["course", folder, "--results", "/nowhere/x.csv"], "/nowhere/x.csv"),
                         (["drill", first, "--trainee", "=1+1"], "--trainee"), (["--seed", "3", "course", folder], "--seed")):
        done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=20)
        expect(done.returncode == 2 and found in done.stderr and len(done.stderr.strip().splitlines()) == 1, (words, done))
    done = subprocess.run([PROGRAM, "drill", "--check", "/nowhere.toml"], capture_output=True, text=True, timeout=20)
    expect(done.returncode == 2 and done.stderr.count("\n") == 1, done)


def everywhere():
    """Listening on all addresses, an address is printed that a browser can use."""
    unit = Unit("--listen", "0.0.0.0")
    host = unit.panel.split("//")[1].split(":")[0]
    expect(host != "0.0.0.0", unit.panel)
    unit.host = host
    expect(status(http(unit, f"GET / HTTP/1.1\r\nHost: {host}:{unit.panel_port}\r\nConnection: close\r\n\r\n")) == 200, unit.panel)
    expect(unit.stop() == 0, "exit code")


def port_in_use():
    unit = Unit("--paused")
    done = subprocess.run([PROGRAM, "--scpi-port", str(unit.scpi_port), "--panel-port", "0", "--log", unit.log + "2"], capture_output=True, text=True, timeout=20)
    expect(done.returncode == 2, done)
    expect(done.stderr.count("\n") == 1 and f"127.0.0.1:{unit.scpi_port}" in done.stderr and "in use" in done.stderr, done.stderr)
    expect(not os.path.exists(unit.log + "2"), "no log left behind")
    for flags, word in ([["--log", unit.log]], "--log"), ([["--log", "/dev/full/x"]], "--log"), ([["--speed", "fast"]], "--speed"), ([["--seed", "-1"]], "--seed"), \
            ([["--plan", "/nowhere"]], "/nowhere"), ([["--listen", "example.org"]], "example.org"), ([["drill", "/nowhere"]], "/nowhere"), ([["--start-utc", "noon"]], "--start-utc"):
        done = subprocess.run([PROGRAM, "--scpi-port", "0", "--panel-port", "0", *flags[0]] if flags[0][0] != "drill" else [PROGRAM, *flags[0]], capture_output=True, text=True, timeout=20)
        expect(done.returncode == 2 and word in done.stderr and done.stderr.count("\n") == 1, (flags, done))
    expect(unit.stop() == 0, "exit code")


def token():
    unit = Unit("--listen", "127.0.0.1", "--speed", "max", "--token-file", token_file())
    client = unit.connect()
    wait_for("standby", lambda: client.query("SYST:STAT?") == "standby")
    client.write("ARM")
    expect(client.query("SYST:ERR?").startswith("-203"), "protected")
    client.write('SYST:PASS:CEN "practice0123456789"')
    client.write("ARM")
    expect(client.query("SYST:STAT?;ERR?") == 'armed;0,"No error"', "opened by the token")
    expect(unit.stop() == 0, "exit code")
    expect("practice0123456789" not in open(unit.log).read(), "the token is in the log")
    expect(subprocess.run([PROGRAM, "replay", unit.log], stdout=subprocess.DEVNULL).returncode == 0, "replay")


def token_file():
    name = f"/tmp/ampturn-token-{os.getpid()}"
    with open(name, "w") as f:
        f.write("practice0123456789\n")
    atexit.register(os.remove, name)
    return name


def killed():
    """kill -9 on the whole program, with clients at work."""
    rng = random.Random(9)
    for _ in range(6):
        unit = Unit("--speed", "max")
        client = unit.connect()
        answered = 0
        end = time.monotonic() + rng.random() * 0.3
        while time.monotonic() < end:
            client.query("MEAS:VOLT?;*ESR?")
            answered += 1
        unit.process.kill()
        unit.process.communicate()
        done = subprocess.run([PROGRAM, "replay", unit.log], capture_output=True, text=True)
        expect(done.returncode == 0 and "same" in done.stdout, done)
        outs = 0
        for line in open(unit.log, "rb").read().split(b"\n"):
            try:
                outs += json.loads(line)["what"] == "out"
            except ValueError:
                pass
        expect(outs >= answered, f"{answered} answers were given, {outs} are in the log")


unit = Unit("--speed", "2")
host_and_origin(unit)
browser_on_the_language(unit)
watching(unit)
bad_company(unit)
timing_held(unit)
noise(unit)
client = unit.connect()
expect(client.query("*IDN?").startswith("Ampturn"), "still there")
expect(unit.stop() == 0, "exit code")
ends_cleanly()
ends_by_every_signal()
log_that_ends_early()
damaged_log()
words_before_a_command()
checked_drills()
everywhere()
port_in_use()
token()
killed()

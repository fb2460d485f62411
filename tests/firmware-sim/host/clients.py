"""Clients nobody here wrote do a whole job: lxi scpi --raw (lxi-tools), PyVISA with pyvisa-py, socat on the pseudo-terminal; and every
transcript of docs/protocol.md is executed."""
import re, subprocess, sys

from unit_process import Unit, expect

import pyvisa

SOURCE = sys.argv[2]


def lxi(unit, text):
    done = subprocess.run(["lxi", "scpi", "--raw", "-a", unit.host, "-p", str(unit.scpi_port), "-t", "30", text],
                          capture_output=True, text=True, timeout=60)
    expect(done.returncode == 0, done)
    return done.stdout.strip()


def job_with_lxi():
    unit = Unit("--speed", "max")
    expect(lxi(unit, "*IDN?").startswith("Ampturn,simulated loop transmitter,0,"), "*IDN?")
    lxi(unit, "LIST:FREQ 96,384;CURR 2;DWEL 2;LOOP A,B;TAP 3,2;CAP 0")
    expect(lxi(unit, "LIST:FREQ?") == "9.600000E+01,3.840000E+02", "LIST:FREQ?")
    lxi(unit, "ARM")
    expect(lxi(unit, "SYST:STAT?") == "armed", "armed")
    lxi(unit, "INIT")
    expect(lxi(unit, "*OPC?") == "1", "*OPC?")
    expect(lxi(unit, "SYST:STAT?;ERR?") == 'standby;0,"No error"', "end")
    expect(unit.stop() == 0, "exit code")
    expect(subprocess.run([unit.process.args[0], "replay", unit.log]).returncode == 0, "replay")


def job_with_pyvisa():
    unit = Unit("--speed", "20")
    manager = pyvisa.ResourceManager("@py")
    visa = manager.open_resource(f"TCPIP0::{unit.host}::{unit.scpi_port}::SOCKET", read_termination="\n", write_termination="\n", timeout=60000)
    expect(visa.query("*IDN?").split(",")[0] == "Ampturn", "identify")
    while visa.query("SYST:STAT?") != "standby":
        pass
    visa.write("*RST;*CLS")
    visa.write("LIST:FREQ 96,384,1536;CURR 2;DWEL 4;LOOP A,B,A;TAP 3,2,1;CAP 0")
    image = visa.query_binary_values("LIST:IMAG?", datatype="B", container=bytes)
    expect(image[:4] == b"ATBL" and len(image) == 24 + 3 * 28 + 4, "image read back")
    visa.write("*RST")
    visa.write_binary_values("LIST:IMAG ", image, datatype="B")
    expect(visa.query("LIST:LOOP?") == "A,B,A", "image uploaded")
    visa.write("ARM")
    visa.write("INIT")
    steps, currents = set(), []
    while visa.query("OUTP?") == "0":
        pass
    while visa.query("OUTP?") == "1":  # poll while it runs
        steps.add(visa.query("LIST:STEP?"))
        currents.append(float(visa.query("MEAS:CURR?")))
    expect({"1,3", "2,3", "3,3"} <= steps, steps)
    expect(max(currents) > 1.8, currents)
    visa.write("ARM;INIT")
    while visa.query("OUTP?") == "0":
        pass
    visa.write("ABOR")
    expect(visa.query("*OPC?") == "1", "stopped")
    visa.write("ABOUT")
    expect(visa.query("SYST:ERR?") == '-113,"Undefined header;ABOUT"', "error queue")
    expect(visa.query("SYST:ERR?") == '0,"No error"', "error queue empty")
    visa.close()
    expect(unit.stop() == 0, "exit code")
    expect(subprocess.run([unit.process.args[0], "replay", unit.log]).returncode == 0, "replay")


def serial_line():
    unit = Unit("--pty", "--speed", "max")
    line = unit.lines["serial"]
    done = subprocess.run(["socat", "-t", "3", "-", f"{line},raw,echo=0"], input="*IDN?\nSYST:STAT?\r\n*OPC?\n", capture_output=True, text=True, timeout=30)
    answers = done.stdout.splitlines()
    expect(len(answers) == 3 and answers[0].startswith("Ampturn") and answers[2] == "1", done)
    again = subprocess.run(["socat", "-t", "3", "-", f"{line},raw,echo=0"], input="*ESR?\n", capture_output=True, text=True, timeout=30)
    expect(again.stdout.strip().isdigit(), again)  # the line stays up between users
    expect(unit.stop() == 0, "exit code")


def transcripts():
    text = open(f"{SOURCE}/docs/protocol.md", encoding="utf-8").read()
    blocks = re.findall(r"```scpi\n(.*?)```", text, re.S)
    expect(len(blocks) >= 6, "transcripts in docs/protocol.md")
    unit = Unit("--speed", "max")
    client = unit.connect()
    while client.query("SYST:STAT?") != "standby":
        pass
    for block in blocks:
        for line in block.splitlines():
            if line.startswith("> "):
                client.write(line[2:])
                asked = line
            elif line.startswith("< "):
                answer = client.read()
                expect(answer == line[2:], f"{asked}\n{line}\nbut came: {answer}")
            elif line.startswith("<~ "):
                answer = client.read()
                expect(re.fullmatch(line[3:], answer), f"{asked}\n{line}\nbut came: {answer}")
    headers = client.query("SYST:HELP:HEAD?")
    while not headers.endswith("ELECtronics?/qonly/") and "\n" not in headers[-1:]:
        more = client.read()
        headers += "\n" + more
        if more == "":
            break
    listed = headers.splitlines()[1:]
    expect(len(listed) > 50, f"only {len(listed)} headers are listed")
    for header in listed:
        header = re.sub(r"/(qonly|nquery)/$", "", header)
        words = [w for w in re.split(r"[\[\]:?]+", header) if w]
        expect(words[-1] in text, f"{header} is not in docs/protocol.md") if words else None
    expect(unit.stop() == 0, "exit code")


transcripts()
job_with_lxi()
job_with_pyvisa()
serial_line()

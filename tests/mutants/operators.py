"""Ways to break a line of C++ by its tokens: what `tests/mutants/mutants` changes, one place at a time.

Comments, texts, characters, preprocessor lines and assertions are left alone. The sources are laid out by clang-format, so a
comparison has spaces around it and a template bracket has none.
"""
import dataclasses
import hashlib
import re

HIDDEN = re.compile(r"//[^\n]*|/\*.*?\*/|R\"(\w*)\(.*?\)\1\"|\"(?:[^\"\\\n]|\\.)*\"|(?<![\w'])'(?:[^'\\\n]|\\.)+'", re.DOTALL)
PREPROCESSOR = re.compile(r"^[ \t]*#(?:[^\n]*\\\n)*[^\n]*", re.MULTILINE)
ASSERTION = re.compile(r"\b(?:static_assert|assert|AMPTURN_CHECK)\s*\(.*?\);", re.DOTALL)
NUMBER = re.compile(r"(?<![\w.'])(\d[\d']*)(\.\d+)?(e-?\d+)?(u?)(?![\w.'])")
STATEMENT = re.compile(r"^[ \t]+((?:break|continue);|(?:[\w:>.\[\]()*-]+ [-+*/|&]?= |(?:\+\+|--)[\w:.>\[\]-]+;|[\w:.>\[\]-]+\()[^\n]*;?)$",
                       re.MULTILINE)
NO_STATEMENT = re.compile(r"^(?:return|throw|using|case|const|constexpr|auto|static|namespace|friend|else|if|for|while|do)\b"
                          r"|^[\w:<>, ]+[ &*]\w+\(.*\)(?: const| = \w+)?;$")
# How far a loop runs, and a place in a list: one more would read past the end, which no test can be held to.
RUNS_TO = re.compile(r"\bfor \([^;()]*;([^;]*);")
PLACE = re.compile(r"\[\d+\]|, \d+>|<\d+>")
RETURN = re.compile(r"\breturn ([^;{}]+);")

# operator, what it finds, what it puts there
SWAPS = [
    ("boundary", r" < ", " <= "), ("boundary", r" <= ", " < "), ("boundary", r" > ", " >= "), ("boundary", r" >= ", " > "),
    ("comparison", r" < ", " >= "), ("comparison", r" <= ", " > "), ("comparison", r" > ", " <= "), ("comparison", r" >= ", " < "),
    ("comparison", r" == ", " != "), ("comparison", r" != ", " == "),
    ("and or", r" && ", " || "), ("and or", r" \|\| ", " && "),
    ("arithmetic", r" \+ ", " - "), ("arithmetic", r" - ", " + "), ("arithmetic", r" \* ", " / "), ("arithmetic", r" / ", " * "),
    ("arithmetic", r" \+= ", " -= "), ("arithmetic", r" -= ", " += "), ("arithmetic", r"\+\+", "--"),
    ("negation", r"(?<=[ (])!(?=[\w(])", ""),
    ("truth", r"\btrue\b", "false"), ("truth", r"\bfalse\b", "true"),
    ("extreme", r"\bstd::min\b", "std::max"), ("extreme", r"\bstd::max\b", "std::min"),
    ("extreme", r"\bstd::f?abs\b", ""), ("rounding", r"\bstd::ceil\b", "std::floor"), ("rounding", r"\bstd::floor\b", "std::ceil"),
    ("rounding", r"\bstd::l?l?round\b", "std::floor"),
]


@dataclasses.dataclass(frozen=True)
class Mutant:
    file: str
    operator: str
    start: int  # of what is replaced in the text
    end: int
    put: str
    line_number: int
    line: str  # as it is, without its margin
    broken: str  # as it becomes

    def name(self):
        """What stays the same when other lines change."""
        return self.file, self.operator, self.line, self.broken

    def rank(self, seed):
        return hashlib.sha256("\0".join((str(seed), *self.name())).encode()).hexdigest()

    def applied(self, text):
        return text[:self.start] + self.put + text[self.end:]


def masked(text):
    """The text with what is not to be changed blanked, every place where it was."""
    blank = lambda match: re.sub(r"[^\n]", " ", match[0])
    for hidden in (HIDDEN, PREPROCESSOR, ASSERTION):
        text = hidden.sub(blank, text)
    return text


def numbers_beside(match):
    """A number one more, one less and doubled; one that is not whole only doubled."""
    whole, fraction, power, unsigned = match.groups()
    if fraction or power:
        return [f"(2 * {match[0]})"] if float(match[0].replace("'", "")) else []
    value = int(whole.replace("'", ""), 8 if re.match(r"0\d", whole) else 10)
    return [f"{new}{unsigned}" for new in dict.fromkeys((value + 1, value - 1, 2 * value)) if new != value and new >= 0]


def within(match, spans):
    return any(start <= match.start() < end for start, end in spans)


def changes(text):
    """(operator, start, end, what is put there) of every place."""
    code = masked(text)
    kept = [match.span(1) for match in RUNS_TO.finditer(code)] + [match.span() for match in PLACE.finditer(code)]
    for operator, pattern, put in SWAPS:
        for match in re.finditer(pattern, code):
            if operator != "boundary" or not within(match, kept):
                yield operator, match.start(), match.end(), put
    for match in PLACE.finditer(code):
        if match[0] in ("[0]", "[1]"):
            yield "constant", match.start() + 1, match.end() - 1, "1" if match[0] == "[0]" else "0"
    for match in NUMBER.finditer(code):
        if within(match, kept):
            continue
        for put in numbers_beside(match):
            yield "constant", match.start(), match.end(), put
    for match in STATEMENT.finditer(code):
        if match[1].endswith(";") and not NO_STATEMENT.match(match[1]):
            yield "removed", match.start(1), match.end(1), ";"
    for match in RETURN.finditer(code):
        if match[1].strip() not in ("true", "false", "0"):
            yield "returned", match.start(1), match.end(1), "{}"


def mutants_of(file, text):
    out = []
    for operator, start, end, put in changes(text):
        first, last = text.rfind("\n", 0, start) + 1, text.find("\n", end)
        out.append(Mutant(file, operator, start, end, put, text.count("\n", 0, start) + 1, " ".join(text[first:last].split()),
                          " ".join((text[first:start] + put + text[end:last]).split())))
    return out


def chosen(mutants, count, seed):
    """So many of them, the same ones whatever is changed elsewhere in the file."""
    return sorted(sorted(mutants, key=lambda mutant: mutant.rank(seed))[:count], key=lambda mutant: (mutant.start, mutant.put))

# SPDX-License-Identifier: GPL-3.0-or-later
"""For each odd name: what is said is what is said of a plain name, with the name as it is shown
in its place; JSON is JSON with the name; the URIs of SARIF lead to the file."""
import csv
import json
import os
import re
import subprocess
import sys
import urllib.parse
import xml.dom.minidom

program, work = sys.argv[1].encode(), sys.argv[2].encode()
WRONG = b'setup "a" {\n  surfice = "clay"\n}\n'
GOOD = b'setup "a" {track-name = "x"; all { preload = 1 mm } }\n'
PLAIN = b"plainplain"
MOST = 255

# A name; how a message shows it; how paper does, and JSON, where that is something else.
NAMES = [
    (b"a b",),
    (b"it's",),
    (b'say "go"',),
    (b"-dash",),
    (b"--as",),
    (b"100%s%n",),
    (b"back\\slash",),
    (b"star*?[x]",),
    (b"#1?q=2&r",),
    (b"{0} ](x",),
    (b"$HOME`id`;x",),
    (b"W" * MOST,),
    (b"new\nx:1:1: error[forged]: y", b"new<U+000A>x:1:1: error[forged]: y"),
    (b"tab\tbed", b"tab bed"),
    (b"red\x1b[31m\x1b]0;t\x07", b"red<U+001B>[31m<U+001B>]0;t<U+0007>"),
    (b"csi\xc2\x9b2J", b"csi<U+009B>2J"),
    (b"bidi\xe2\x80\xaex", b"bidi<U+202E>x"),
    (b"line\xe2\x80\xa8x", b"line<U+2028>x"),
    (b"caf\xe9", b"caf<E9>", b"caf<E9>", b"caf<E9>"),
    (b"\xff\xfe", b"<FF><FE>", b"<FF><FE>", b"<FF><FE>"),
    (b"\xe8\xa8\xad", b"\xe8\xa8\xad", b"U+8A2D"),
]

# What names a file, a folder or a thing. The name begins an argument where it may.
RUNS = {
    "check": ["check", "--", "@.leaf"],
    "check a missing file": ["check", "--", "no@.leaf"],
    "check a folder": ["check", "--", "dir@"],
    "check what includes it": ["check", "--", "user.leaf"],
    "figures": ["figures", "--", "@.leaf"],
    "explain": ["explain", "--", "g@.leaf", "front-left.preload"],
    "compare": ["compare", "--", "@.leaf", "g@.leaf"],
    "compare for git": ["compare", "--external", "--", "g@.leaf", "g@.leaf", "0" * 40, "100644",
                        "@.leaf", "0" * 40, "100644"],
    "sheet": ["sheet", "--", "g@.leaf"],
    "sheet of a mistake": ["sheet", "--", "@.leaf"],
    "sheet -o": ["sheet", "-o", "@.pdf", "--", "g@.leaf"],
    "sheet into a missing folder": ["sheet", "-o", "no@/x.pdf", "--", "g@.leaf"],
    "sheet over a setup": ["sheet", "-o", "@.leaf", "--", "g@.leaf"],
    "sheet over a folder": ["sheet", "-o", "dir@", "--", "g@.leaf"],
    "sheet against": ["sheet", "-o", "x.pdf", "--against", "@.leaf", "--", "g@.leaf"],
    "sheet by a template": ["sheet", "-o", "x.pdf", "--template", "t@", "--", "g@.leaf"],
    "sheet by a template's file": ["sheet", "-o", "x.pdf", "--template", "@.leaf", "--", "g@.leaf"],
    "packet": ["meeting", "-o", "m@.pdf", "--", "meeting.leaf"],
    "packet with single files": ["meeting", "--split", "split@", "--", "meeting.leaf"],
    "single files in a missing folder": ["meeting", "--split", "no@/x", "--", "meeting.leaf"],
    "scrutineer": ["scrutineer", "--", "rules.leaf", "@.leaf"],
    "scrutineer of what is right": ["scrutineer", "--", "rules.leaf", "g@.leaf"],
    "scrutineer -o": ["scrutineer", "-o", "list.pdf", "--", "rules.leaf", "@.leaf", "g@.leaf"],
    "scrutineer's rules": ["scrutineer", "--", "@.leaf", "g@.leaf"],
    "log": ["log", "--", "@.leaf"],
    "log of a revision": ["log", "--", "g@.leaf", "v@"],
    "tidy --check": ["tidy", "--check", "--", "@.leaf", "g@.leaf"],
    "tidy of a mistake": ["tidy", "--", "bad@.leaf"],
    "library": ["check", "--library", "dir@", "--", "g@.leaf"],
    "missing library": ["check", "--library", "no@", "--", "g@.leaf"],
    "missing root": ["check", "--root", "no@", "--", "g@.leaf"],
    "no setup of that name": ["figures", "--setup", "x@", "--", "g@.leaf"],
    "no figure": ["figures", "--only", "x@", "--", "g@.leaf"],
    "no command": ["x@"],
    "help of no command": ["help", "x@"],
    "no format": ["check", "--as", "x@", "--", "g@.leaf"],
    "no curve": ["curve", "--", "g@.leaf", "x@"],
    "no key": ["describe", "--", "x@"],
    "no scope": ["explain", "--", "g@.leaf", "x@"],
}


# Of these, what has the name in a text of the language, which takes neither bytes that are no
# UTF-8 nor characters that are not seen.
WRITTEN = ["check what includes it", "packet", "packet with single files",
           "single files in a missing folder"]


def is_writable(name):
    try:
        return all(c.isprintable() or c in "\t\n" for c in name.decode())
    except UnicodeDecodeError:
        return False


def cut(name, before, behind):
    """The name with its ends, no longer than a name may be."""
    return before + name[: MOST - len(before) - len(behind)] + behind


def fill(argument, name):
    before, _, behind = argument.encode().partition(b"@")
    return cut(name, before, behind) if "@" in argument and "/" not in argument \
        else argument.encode().replace(b"@", name[:240])


def make(name):
    """A folder with the files that the runs name."""
    folder = os.path.join(work, b"names")
    subprocess.run([b"rm", b"-rf", folder], check=True)
    os.mkdir(folder)
    os.chdir(folder)
    quoted = cut(name, b"", b".leaf").replace(b"\\", b"\\\\").replace(b'"', b'\\"')
    quoted = quoted.replace(b"\n", b"\\n").replace(b"\t", b"\\t")
    files = {
        cut(name, b"", b".leaf"): WRONG,
        cut(name, b"g", b".leaf"): GOOD,
        cut(name, b"bad", b".leaf"): b'setup "a" {\n',
        b"user.leaf": b'include "%s"\n' % quoted + GOOD,
        b"meeting.leaf": b'meeting "m" {\n  entry "1" { driver = "Pip"; setup = "%s" }\n}\n' % quoted,
        b"rules.leaf": b'rules "r" { rule "Width" { require = width <= 250 mm } }\n',
    }
    for path, text in files.items():
        with open(path, "wb") as file:
            file.write(text)
    os.mkdir(fill("dir@", name))
    for command in (["init", "-q", "-b", "main"], ["add", "-A"], ["commit", "-q", "-m", "one"]):
        subprocess.run(["git", *command], check=True, capture_output=True)


def run(arguments, name):
    filled = [fill(argument, name) for argument in arguments]
    done = subprocess.run([program, *filled], capture_output=True, stdin=subprocess.DEVNULL)
    return done.returncode, done.stdout, done.stderr


def all_said(name):
    make(name)
    return {what: run(arguments, name) for what, arguments in RUNS.items()}


def differences(plain, shown, said):
    """What is not as it is with a plain name, but for the hash of a commit."""
    for what, (_, out, err) in plain.items():
        if what not in said:
            continue
        for stream, wanted, got in (("output", out, said[what][1]), ("messages", err, said[what][2])):
            wanted = lines_of(what, wanted.replace(PLAIN, shown))
            if wanted != lines_of(what, got):
                yield f"{what}: the {stream} are {got!r}, not {wanted!r}"


def lines_of(what, said):
    """Lines without blanks before them. The log is folded, so that its lines are joined."""
    if what == "log":
        return b" ".join(re.sub(rb"^[0-9a-f]+", b"HASH", said).split())
    lines = [line.replace(b"^", b"").strip() for line in said.split(b"\n")]
    return [line for line in lines if line]


def control_free(said):
    for what, (_, out, err) in said.items():
        for bytes_ in (out, err):
            try:
                text = bytes_.decode("utf-8")
            except UnicodeDecodeError:
                yield f"{what}: this is no UTF-8: {bytes_!r}"
                continue
            bad = [c for c in text if (ord(c) < 32 and c != "\n") or 127 <= ord(c) < 160
                   or ord(c) in (0x2028, 0x2029, 0x202E)]
            if bad:
                yield f"{what}: there are {bad!r} in {text!r}"


def documents(name, in_json, shown):
    """JSON, SARIF, JUnit and CSV: as they should be, and the file's name in them."""
    in_json = cut(in_json, b"", b".leaf").decode()
    for command in ("check", "figures", "compare"):
        arguments = [command, "--as", "json", "--", "@.leaf"] + (["g@.leaf"] if command == "compare" else [])
        _, out, err = run(arguments, name)
        document = json.loads(out.decode("utf-8"))
        files = {problem["file"] for problem in document["diagnostics"]}
        if in_json not in files or (err and command == "check"):
            yield f"{command} --as json tells of {files!r}, not of {in_json!r}; {err!r}"
    _, out, err = run(["check", "--as", "sarif", "--", "@.leaf"], name)
    document = json.loads(out.decode("utf-8"))
    for result in document["runs"][0]["results"]:
        uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        if urllib.parse.unquote_to_bytes(uri) != cut(name, b"", b".leaf") or not uri.isascii() \
                or set(uri) & set(' "<>\\^`{}|#?'):
            yield f"the URI {uri!r} does not lead to the file"
    if not document["runs"][0]["results"]:
        yield "SARIF has no result"
    _, out, _ = run(["scrutineer", "--as", "junit", "--", "rules.leaf", "@.leaf"], name)
    if not xml.dom.minidom.parseString(out).getElementsByTagName("testcase"):
        yield "JUnit's XML has no case"
    _, out, _ = run(["scrutineer", "--as", "csv", "--", "rules.leaf", "g@.leaf"], name)
    rows = list(csv.DictReader(out.decode("utf-8").split("\r\n")))
    wanted = cut(shown, b"g", b".leaf").decode()
    if [row["file"] for row in rows] != [wanted]:
        yield f"CSV has {rows!r}, not {wanted!r}"


def on_paper(name, paper):
    """The footer names the file; nothing stands outside the page."""
    status, _, err = run(["sheet", "-o", "sheet.pdf", "--against", "g@.leaf", "--", "g@.leaf"], name)
    if status != 0:
        yield f"no sheet: {err!r}"
        return
    text = subprocess.run(["pdftotext", "-layout", "sheet.pdf", "-"], capture_output=True, check=True)
    flat = b"".join(text.stdout.split())
    if b"".join(cut(paper, b"g", b".leaf").split()) not in flat:
        yield f"the footer does not name {paper!r}"
    boxes = subprocess.run(["pdftotext", "-bbox", "sheet.pdf", "-"], capture_output=True, check=True)
    width = 0.0
    for line in boxes.stdout.decode().split("\n"):
        fields = dict(part.split("=") for part in line.replace('"', "").replace(">", " ").split()
                      if part.count("=") == 1)
        if "<page" in line:
            width = float(fields["width"])
        elif "<word" in line and not 0 <= float(fields["xMin"]) < float(fields["xMax"]) <= width:
            yield f"a word stands outside the page: {line.strip()}"


def problems_of(name, plain, shown=None, paper=None, in_json=None):
    said = all_said(name)
    shown = shown or name
    yield from control_free(said)
    yield from documents(name, in_json or name, shown)
    yield from on_paper(name, paper or shown)
    # What git says of a revision is its own; some names cannot be written in the language.
    told = dict(said)
    del told["log of a revision"]
    if not is_writable(name):
        for what in WRITTEN:
            del told[what]
    if len(name) < 100:
        yield from differences(plain, shown, told)
    for what in told:
        if said[what][0] != plain[what][0]:
            yield f"{what}: the status is {said[what][0]}, not {plain[what][0]}: {said[what][2]!r}"


plain = all_said(PLAIN)
for name, *looks in [(PLAIN,), *NAMES]:
    bad = list(problems_of(name, plain, *looks))
    for problem in bad:
        print("#", problem)
    print("not ok" if bad else "ok", "a file called", (looks or [name])[0][:40].decode())

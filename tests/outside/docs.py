"""Runs what the pages tell a reader to type, on a copy of the demo farm.

    python docs.py PROGRAM

Every `sh` block of README.md, demo-farm/README.md and docs/*.md: each page in an empty folder with the
demo farm in it, its commands one after the other. A command must end with exit code 0, or with what its
comment says (`# exit code 1`); of `landplaster page` the page must open. Blocks of TOML must have known keys alone, and every link within the repository must
lead to a file, and to a heading where it names one. One line a page; the exit code is 1 when any
fails.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import tomllib
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# What sets the machine up, builds and tests: .ci/run does so by itself.
NOT_RUN = ("apt-get ", "cargo ", "sudo ", "tar ")
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\(([^)\s]+)\)|src=\"([^\"]+)\"")
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)


def commands(block):
    """A command a line; one that ends in a backslash goes on."""
    return [line.strip() for line in block.replace("\\\n", " ").splitlines() if line.strip()]


def opened(command, folder, program):
    """What is wrong with a page that is served until it is ended, if anything."""
    words = [str(program), *shlex.split(command)[1:], "--no-browser"]
    with subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as served:
        address = re.search(r"http:\S+", served.stdout.readline())
        try:
            if not address:
                return f"no address: {command}\n{served.stderr.read()}"
            cookies = urllib.request.HTTPCookieProcessor()
            with urllib.request.build_opener(cookies).open(address[0], timeout=60) as page:
                return None if b"landplaster" in page.read() else f"no page: {command}"
        finally:
            served.kill()


def run(command, folder, program):
    """What is wrong with a command, if anything."""
    if command.startswith(NOT_RUN):
        return None
    if not command.startswith("landplaster "):
        return f"is no landplaster command, and nothing runs it: {command}"
    if command.startswith("landplaster page"):
        return opened(command, folder, program)
    said = re.search(r"# exit code (\d+)", command)
    expected = int(said[1]) if said else 0
    path = f"{program.parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["sh", "-c", command], cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True
    )
    if done.returncode == expected:
        return None
    return f"exit code {done.returncode}, expected {expected}: {command}\n{done.stderr}"


def anchors(page):
    """The anchors of a page's headings, as a page of Markdown has them."""
    text = FENCE.sub("", page.read_text())
    plain = [re.sub(r"[^\w\- ]", "", heading.lower()) for heading in HEADING.findall(text)]
    return {heading.replace(" ", "-") for heading in plain}


def dead(page, text):
    """Links that lead nowhere."""
    for written, image in LINK.findall(FENCE.sub("", text)):
        link = written or image
        if "://" in link:
            continue
        path, _, anchor = link.partition("#")
        target = (page.parent / path).resolve() if path else page
        if not target.exists():
            yield f"no such file: {link}"
        elif anchor and anchor not in anchors(target):
            yield f"no such heading: {link}"


def keys(table):
    """All keys of a TOML table and of the tables in it."""
    for key, value in table.items():
        yield key
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, dict):
                yield from keys(inner)


def unread(block):
    """What is wrong with a block of TOML: the page of all keys, made from the program, knows each."""
    known = (ROOT / "docs" / "reference.md").read_text()
    try:
        written = tomllib.loads(block)
    except tomllib.TOMLDecodeError as error:
        yield f"{error} in\n{block}"
        return
    for key in keys(written):
        if f"| `{key}` |" not in known:
            yield f"no file has the key {key}:\n{block}"


def faults(page, program, count):
    text = page.read_text()
    yield from dead(page, text)
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "demo-farm", Path(folder) / "demo-farm")
        for language, block in FENCE.findall(text):
            if language == "toml":
                yield from unread(block)
            elif language == "sh":
                for command in commands(block):
                    count.append(command)
                    fault = run(command, folder, program)
                    if fault:
                        yield fault
            elif "landplaster " in block:
                yield f"a block with a command that is not marked sh:\n{block}"


def main():
    with tempfile.TemporaryDirectory() as folder:
        program = Path(folder) / "landplaster"
        program.symlink_to(Path(sys.argv[1]).resolve())
        failed = False
        for page in [ROOT / "README.md", ROOT / "demo-farm" / "README.md", *sorted(ROOT.glob("docs/*.md"))]:
            count = []
            wrong = list(faults(page, program, count))
            failed |= bool(wrong)
            print(f"{'FAIL' if wrong else 'ok  '} {page.relative_to(ROOT)}: {len(count)} commands")
            for fault in wrong:
                print(f"     {fault}")
    sys.exit(failed)


if __name__ == "__main__":
    main()

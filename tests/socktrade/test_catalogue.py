"""The second language is complete: every word gathered, each said, none with a value missing."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po

from tests.socktrade.house import ROOT
from tests.socktrade.opened import environment

LANGUAGES = ("de",)
DOMAINS = ("django", "djangojs")
BRACES = re.compile(r"(?<!\{)\{[^{}]*\}")
SIGNS = re.compile(r"%\(\w+\)s")
TAGS = re.compile(r"</?\w+")


def catalogue(language: str, domain: str, root: Path = ROOT):
    path = root / "socktrade" / "locale" / language / "LC_MESSAGES" / f"{domain}.po"
    with path.open("rb") as file:
        return read_po(file, locale=language)


def ids(messages) -> set[object]:
    return {(message.context, message.id) for message in messages if message.id}


def forms(message: Message) -> list[tuple[str, str]]:
    """Return each translated form beside the English one that it stands for."""
    if isinstance(message.id, str):
        return [(message.id, message.string)]
    return list(zip(message.id, message.string, strict=True))


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_is_said_in_the_second_language(language, domain):
    book = catalogue(language, domain)
    left = [m.id for m in book if m.id and (m.fuzzy or not all(said for _, said in forms(m)))]

    assert not left


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_keeps_values_and_markup(language, domain):
    wrong = []
    for message in catalogue(language, domain):
        if not message.id:
            continue
        for english, said in forms(message):
            alike = all(
                set(found.findall(said)) <= set(found.findall(english)) for found in (BRACES, SIGNS)
            )
            if not alike or sorted(TAGS.findall(english)) != sorted(TAGS.findall(said)):
                wrong.append((english, said))
        english, said = forms(message)[-1]
        if set(BRACES.findall(english)) - set(BRACES.findall(said)):
            wrong.append((english, said))

    assert not wrong


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_served_is_what_is_written(language, domain, tmp_path):
    written = ROOT / "socktrade" / "locale" / language / "LC_MESSAGES" / f"{domain}.po"
    compiled = tmp_path / "words.mo"
    subprocess.run(["msgfmt", "--check-format", "-o", compiled, written], check=True)

    assert written.with_suffix(".mo").read_bytes() == compiled.read_bytes()


def test_the_catalogue_has_every_word_of_the_code_and_no_other(tmp_path):
    """Gathered anew by GNU gettext, as DEVELOPERS.md says."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    for name in listed.stdout.split("\0"):
        wanted = name.endswith((".py", ".html", ".js", ".po")) and not name.startswith("tests/")
        if wanted and (ROOT / name).exists():
            target = tmp_path / name
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, target)
    for domain in DOMAINS:
        subprocess.run(
            [sys.executable, "manage.py", "makemessages", "-l", "de", "-d", domain, "-v0"],
            cwd=tmp_path,
            env=environment(tmp_path),
            capture_output=True,
            text=True,
            check=True,
        )
        assert ids(catalogue("de", domain, tmp_path)) == ids(catalogue("de", domain))

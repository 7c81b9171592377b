"""A stranger's hand and eyes: what a person does on a page, and how long that takes.

The times are those of the Keystroke-Level Model (Card, Moran and Newell, "The keystroke-level
model for user performance time with interactive systems", 1980), from memory: 0.28 s for a
key by a person who does not type for a living, 1.1 s to point at a thing, 0.4 s to bring the
hands back to the keys, 1.35 s to think before each step. Reading is counted at 238 words a
minute, the mean of silent reading of non-fiction in English (Brysbaert, "How many words do we
read per minute?", 2019), from memory. Of the words on a page people read about 28 in 100
(Nielsen, "How little do users read?", 2008), from memory.
"""

import re

KEY_SECONDS = 0.28
POINT_SECONDS = 1.1
HOME_SECONDS = 0.4
THINK_SECONDS = 1.35
WORDS_PER_MINUTE = 238
SHARE_READ = 0.28

# A closed list shows one of its lines, so the others are not read.
UNSEEN = "[...document.querySelectorAll('option')].filter(o => !o.selected).map(o => o.text.trim())"


class Hand:
    """Does on a page only what a person can: read, point and type."""

    def __init__(self, screen):
        self.screen = screen
        self.doing = 0.0
        self.reading = 0.0
        self._read = set()

    def read(self):
        """Read the page; a line that stood on an earlier page is known already."""
        lines = self.screen.locator("body").inner_text().splitlines()
        unseen = set(self.screen.evaluate(UNSEEN))
        new = {line.strip() for line in lines} - self._read - unseen
        self._read |= new
        words = sum(len(re.findall(r"\w+", line)) for line in new)
        self.reading += SHARE_READ * words * 60 / WORDS_PER_MINUTE

    def press(self, name, role="button"):
        """Think, point and tap."""
        self.doing += THINK_SECONDS + POINT_SECONDS
        self.screen.get_by_role(role, name=name).first.click()
        self.screen.wait_for_load_state()
        self.read()

    def follow(self, name):
        """Tap a link."""
        self.press(name, role="link")

    def tick(self, name):
        """Tap a box or a choice."""
        self.doing += THINK_SECONDS + POINT_SECONDS
        self.screen.locator("main").get_by_label(name).first.check()

    def choose(self, name, option):
        """Open a list and tap one of its lines."""
        self.doing += THINK_SECONDS + 2 * POINT_SECONDS
        self.screen.locator("main").get_by_label(name).first.select_option(label=option)

    def type(self, name, text):
        """Point at a field by its label and type."""
        self.type_into(self.screen.locator("main").get_by_label(name).first, text)

    def type_into(self, field, text):
        """Point at a field and type."""
        self.doing += THINK_SECONDS + POINT_SECONDS + HOME_SECONDS + len(text) * KEY_SECONDS
        field.fill("")
        field.press_sequentially(text)

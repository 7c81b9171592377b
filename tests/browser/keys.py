"""A hand on the keyboard and no pointer: Tab, arrows, Space, Enter and typing."""

import re

import pytest

from tests.browser.reading import FOCUS

HERE = """() => {
  const at = document.activeElement;
  return at.wanted && at.wanted === globalThis.looking ? "found " + focusTrouble(at) : "";
}"""
MOST_TABS = 160


class Keys:
    """Comes to things by Tab and knows them by the role and name that a screen reader says."""

    def __init__(self, screen):
        self.screen = screen
        self.tree = screen.context.new_cdp_session(screen)
        screen.add_init_script(FOCUS)

    def to(self, role, name, **exact):
        """Press Tab until the thing of this role and name has the focus, and see that it shows."""
        self.reach(self.screen.get_by_role(role, name=name, **exact), name)
        self.hear(role, name)

    def reach(self, things, name):
        """Press Tab until one of these has the focus, and see that it shows."""
        things.first.wait_for()
        self.screen.evaluate("globalThis.looking = {}")
        things.evaluate_all("all => all.forEach((one) => { one.wanted = globalThis.looking; })")
        for _ in range(MOST_TABS):
            self.screen.keyboard.press("Tab")
            if here := self.screen.evaluate(HERE):
                assert here == "found ", f"{name} on {self.screen.url}: {here[6:]}"
                return
        pytest.fail(f"Tab never reached “{name}” on {self.screen.url}")

    def hear(self, role, name):
        """The browser's own tree, which a screen reader reads, says the same of the focus."""
        said = self.focused()
        wanted = name if isinstance(name, re.Pattern) else re.compile(re.escape(name), re.I)
        assert wanted.search(said["name"]), f"says “{said['name']}”, not “{name}”"
        assert said["role"] in ROLES[role], f"says {said['role']} of “{said['name']}”, not {role}"

    def focused(self) -> dict[str, str]:
        """Return role and name of what has the focus."""
        thing = self.tree.send("Runtime.evaluate", {"expression": "document.activeElement"})
        nodes = self.tree.send(
            "Accessibility.getPartialAXTree",
            {"objectId": thing["result"]["objectId"], "fetchRelatives": False},
        )["nodes"]
        said = ("role", "name", "description")
        return {key: nodes[0].get(key, {}).get("value", "") for key in said}

    def press(self, name, role="button", key="Enter"):
        """Come to a button or link and press it."""
        self.to(role, name)
        self.screen.keyboard.press(key)
        self.screen.wait_for_load_state()

    def follow(self, name):
        """Come to a link and follow it."""
        self.press(name, role="link")

    def unfold(self, name):
        """Come to what is folded away and open it."""
        self.reach(self.screen.locator("summary").filter(has_text=name), name)
        self.hear("summary", name)
        self.screen.keyboard.press("Enter")

    def tick(self, name):
        """Come to a box and tick it."""
        self.to("checkbox", name)
        self.screen.keyboard.press("Space")
        assert self.screen.evaluate("document.activeElement.checked"), f"{name} is not ticked"

    def type(self, name, text, role="textbox"):
        """Come to a field, whose words Tab has marked, and type over them."""
        self.to(role, name)
        self.screen.keyboard.press("ControlOrMeta+A")
        self.screen.keyboard.type(text)

    def choose(self, name, option):
        """Come to a closed list and go down it until the option is chosen."""
        self.to("combobox", name)
        self.screen.keyboard.press("Home")
        for _ in range(40):
            at = "document.activeElement.selectedOptions[0].text"
            if option in self.screen.evaluate(at):
                return
            self.screen.keyboard.press("ArrowDown")
        pytest.fail(f"No “{option}” in “{name}”")


# What Chromium calls the roles of ARIA.
ROLES = {
    "button": {"button"},
    "checkbox": {"checkbox"},
    "combobox": {"combobox", "ComboBoxMenuButton", "comboBoxSelect"},
    "link": {"link"},
    "radio": {"radio"},
    "searchbox": {"searchbox"},
    "summary": {"DisclosureTriangle"},
    "spinbutton": {"spinbutton"},
    "textbox": {"textbox", "Date", "InputTime"},
}

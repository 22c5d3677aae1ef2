"""The ways in which a page is worked: a mouse, a finger, a keyboard alone; and what every page owes to each."""

from __future__ import annotations

from typing import Any, Literal

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import ConsoleMessage, Locator, Page, Request, expect

SIZES = {"tablet": (1180, 820), "upright": (820, 1180), "telephone": (390, 844)}
MOST_STOPS = 160  # of the Tab key on its way to something on a page

Role = Literal["button", "link", "checkbox", "radio", "switch"]

# Where the focus is: that its ring shows, that it is on the screen, and that nothing lies over it (WCAG 2.4.7,
# 2.4.11). The control inside a label is as good as the label.
FOCUS = """(wanted) => {
  const at = document.activeElement, style = getComputedStyle(at), box = at.getBoundingClientRect();
  let [left, right, top, bottom] = [Math.max(box.left, 0), Math.min(box.right, innerWidth),
    Math.max(box.top, 0), Math.min(box.bottom, innerHeight)];
  for (let e = at.parentElement; e; e = e.parentElement)  // what a list that scrolls within the page shows of it
    if (getComputedStyle(e).overflowX !== "visible") {
      left = Math.max(left, e.getBoundingClientRect().left);
      right = Math.min(right, e.getBoundingClientRect().right);
    }
  const on = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
  return {
    name: `${at.tagName} ${at.id} ${at.textContent.trim().slice(0, 30)}`,
    ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    seen: bottom > top && right > left,
    there: at === wanted,
    open: at.contains(on) || !!on?.closest("label")?.contains(at),
  };
}"""

# Words that their own box cuts off, and things that stand beyond the right edge with nothing to scroll them by.
CUT_OFF = """() => {
  const scrolls = (e) => e && (/auto|scroll/.test(getComputedStyle(e).overflowX) || scrolls(e.parentElement));
  const shown = [...document.querySelectorAll("main *, header *, form *")].filter((e) =>
    e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 1
    && !e.closest(".unseen, svg, .skip"));
  const brush = document.createElement("canvas").getContext("2d");
  const wide = (select) => {
    const style = getComputedStyle(select), pads = parseFloat(style.paddingLeft) + parseFloat(style.paddingRight);
    brush.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`; // its shorthand is empty
    const longest = Math.max(0, ...[...select.options].map((one) => brush.measureText(one.text).width));
    return longest + pads + 16 > select.clientWidth; // and the arrow
  };
  return shown.filter((e) =>
    (e.matches("a, button, label, legend, h1, h2, h3, summary, td, th") && e.scrollWidth > e.clientWidth + 1
      && getComputedStyle(e).display !== "inline")
    || (e.matches("select") && wide(e))
    || (e.getBoundingClientRect().right > innerWidth + 1 && !scrolls(e))
    || (e.matches("button, input, select") && e.getBoundingClientRect().left < 0))
    .map((e) => `${e.tagName} ${e.id} ${e.textContent.trim().slice(0, 40)}`);
}"""

# Words of a drawing that stand out from what is drawn under them less than WCAG 2.1 asks of large letters (3 to 1).
UNREAD = """() => {
  const light = (colour) => {
    const [r, g, b] = colour.match(/[\\d.]+/g).map((part) => part / 255)
      .map((part) => part <= .03928 ? part / 12.92 : ((part + .055) / 1.055) ** 2.4);
    return .2126 * r + .7152 * g + .0722 * b;
  };
  const solid = (colour) => /^rgb/.test(colour) && !/^rgba.*, 0\\)$/.test(colour);
  const seen = (e) => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width;
  const under = (text) => {
    const { left, top, width, height } = text.getBoundingClientRect();
    const middle = new DOMPoint(left + width / 2, top + height / 2);
    const drawn = [...text.ownerSVGElement.querySelectorAll("rect, circle, path")].filter((shape) =>
      shape.compareDocumentPosition(text) === Node.DOCUMENT_POSITION_FOLLOWING && !shape.closest("defs")
      && seen(shape) && solid(getComputedStyle(shape).fill)
      && shape.isPointInFill(middle.matrixTransform(shape.getScreenCTM().inverse()))).at(-1);
    if (drawn) return getComputedStyle(drawn).fill;
    let behind = text.ownerSVGElement;
    while (behind && !solid(getComputedStyle(behind).backgroundColor)) behind = behind.parentElement;
    return behind ? getComputedStyle(behind).backgroundColor : "rgb(255, 255, 255)";
  };
  const contrast = (one, other) => (Math.max(one, other) + .05) / (Math.min(one, other) + .05);
  return [...document.querySelectorAll("svg text")]
    .filter((text) => seen(text) && !text.closest("defs, .unseen"))
    .filter((text) => contrast(light(getComputedStyle(text).fill), light(under(text))) < 3)
    .map((text) => `${text.textContent} in ${getComputedStyle(text).fill} on ${under(text)}`);
}"""


class Watch:
    """What must not happen on a page: complaints in its console, questions to another machine."""

    def __init__(self, page: Page, *addresses: str) -> None:
        self.complaints: list[str] = []
        self._own = (*addresses, "data:", "blob:", "about:", "chrome")  # the browser's own PDF reader
        page.set_default_timeout(90_000)  # a busy machine is no fault of the page
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", self._request)

    def _console(self, message: ConsoleMessage) -> None:
        page = message.page
        refused = "the server responded with a status of 4" in message.text
        if refused and page and message.location["url"] == page.url:
            return  # the browser's own note that a page it was sent to is a refusal
        if message.type == "error":
            self.complaints.append(f"{message.text} {message.location['url']}")

    def _request(self, request: Request) -> None:
        if not request.url.startswith(self._own):
            self.complaints.append(f"asked another machine: {request.url}")


class Mouse:
    """Points and types. The other hands differ from it in how they reach things."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def reach(self, target: Locator) -> None:
        target.click()

    def press(self, role: Role, name: str) -> None:
        self.reach(self.page.get_by_role(role, name=name, exact=True).first)

    def take(self, selector: str) -> None:
        self.reach(self.page.locator(selector))

    def write(self, label: str, text: str) -> None:
        field = self.page.get_by_label(label, exact=True)
        self.put(field)
        self.page.keyboard.press("ControlOrMeta+a")
        self.page.keyboard.insert_text(text)
        expect(field).to_have_value(text)

    def put(self, field: Locator) -> None:
        """Into a field."""
        field.click()


class Finger(Mouse):
    """Taps, and nothing else."""

    def reach(self, target: Locator) -> None:
        target.tap()

    def put(self, field: Locator) -> None:
        field.tap()


class Keys(Mouse):
    """Tab until it is there, Enter or Space; at every stop the focus must be seen."""

    def reach(self, target: Locator) -> None:
        self.put(target)
        box = target.evaluate("e => e.matches('[type=checkbox], [role=switch]')")
        self.page.keyboard.press("Space" if box else "Enter")

    def put(self, field: Locator) -> None:
        field.wait_for(state="attached")
        ahead = field.evaluate("e => document.activeElement.compareDocumentPosition(e) & 4")
        for _ in range(MOST_STOPS):
            self.page.keyboard.press("Tab" if ahead else "Shift+Tab")
            at = field.evaluate(FOCUS)
            if at["name"].startswith("BODY"):
                continue  # past the last thing on the page, and round
            assert at["ring"], f"no ring round {at['name']}"
            assert at["seen"], f"not on the screen: {at['name']}"
            assert at["open"], f"something lies over {at['name']}"
            if at["there"]:
                return
        raise AssertionError(f"the Tab key does not get to {field}")


def sound(page: Page) -> None:
    """What holds on every page at every size: no scrolling sideways, nothing cut off, drawings' words legible."""
    page.wait_for_load_state()  # its stylesheets, too
    across = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert across[0] <= across[1], f"{page.url} scrolls sideways: {across}"
    cut = page.evaluate(CUT_OFF)
    assert cut == [], f"{cut} on {page.url}"
    unread = page.evaluate(UNREAD)
    assert unread == [], f"{unread} on {page.url}"


def answered(page: Page) -> None:
    """The workbench has the answer to everything that was asked of it."""
    expect(page.locator("#main")).not_to_have_attribute("aria-busy", "true")


def still(page: Page) -> None:
    """Nothing moves by itself."""
    assert page.evaluate("document.getAnimations().length") == 0, page.url


def faultless(page: Page) -> None:
    """axe finds nothing."""
    found: Any = Axe().run(page)
    assert found.violations_count == 0, f"{page.url}\n{found.generate_report()}"


def later(page: Page, frames: int = 20) -> None:
    """After the page could have been drawn so many times again."""
    page.evaluate(
        "n => new Promise(done => { const f = () => n-- ? requestAnimationFrame(f) : done(); f(); })", frames
    )

"""The steps of the whole job, each by one person on their own tablet."""

import io
import re

import pypdfium2
import zxingcpp
from django.utils import timezone
from playwright.sync_api import expect
from pypdf import PdfReader

from tests.e2e import body
from tests.e2e.tablet import Tablet

CUSTOMER = "Bran Tollivane"
# Zone, fault as its tile says it, side, amount as its key says it.
FAULTS = [
    ("Collar", "Stands off the neck", "", "three eighths"),
    ("Shoulder", "Side crunches, shoulder low", "right", "one quarter"),
    ("Sleeve", "Sleeve too long", "both", "one half"),
    ("Waist", "Spare cloth at the waist", "", "one half"),
    ("Buttoning point", "Buttons too low", "", "one half"),
    ("Coat length", "Coat too long", "", "three quarters"),
]
VERDICTS = ["cured", "cured", "cured", "cured", "better", "better"]


def book_the_first_free_time(tablet: Tablet, fitter: str) -> None:
    tablet.choose("With", fitter)
    tablet.tap(tablet.page.get_by_role("group", name="Free times").get_by_role("button").first)
    expect(tablet.page.get_by_text(f"Booked: {CUSTOMER}")).to_be_visible()


def register_and_book(front: Tablet, fitter: str) -> None:
    given, family = CUSTOMER.split()
    front.link("Customers")
    front.link("Register a customer")
    front.type("Given name", given)
    front.type("Family name", family)
    front.type("Telephone", "01632 960 555")
    front.button("Register")
    front.link("Book a fitting")
    book_the_first_free_time(front, fitter)


def say(front: Tablet, what: str) -> None:
    """What became of the booking, said from today's list."""
    front.link("Today")
    front.button(f"{CUSTOMER}: {what}")
    expect(front.page.get_by_text(what.lower(), exact=True).first).to_be_visible()


def measure(front: Tablet, fitter: Tablet) -> None:
    """Every point of a coat and of trousers, by the pad alone."""
    say(front, "Arrived")
    fitter.link("Today")
    fitter.link(f"Measure {CUSTOMER}")
    fitter.tap(fitter.page.locator("label", has_text="trousers"))
    man = body.first_man()
    fields = fitter.page.locator("input.length-input:not([data-again]):visible")
    fitter.tap(fields.first)
    for name in fields.evaluate_all("fields => fields.map(field => field.name)"):
        for key in body.keys(man[re.sub("-[LR]$", "", name)]):
            fitter.tap(fitter.page.locator(f'[data-key="{key}"]'))
    fitter.button("Keep the set")
    expect(fitter.page.get_by_role("heading", name="Measures of")).to_be_visible()
    say(front, "Kept")


def open_garment(tablet: Tablet) -> None:
    """By the customer's name, as everyone at the desk and in the fitting room finds it."""
    tablet.link("Customers")
    tablet.type("Find a customer", CUSTOMER[:6])
    tablet.link(CUSTOMER, exact=False)
    tablet.link("Coat", exact=False)


def order_cut_and_baste(front: Tablet, fitter: Tablet, bench: Tablet, name: str) -> None:
    front.link(CUSTOMER)
    front.link("The customer's page")
    front.link("Order a garment")
    front.choose("Cut", "Plover")
    front.type("Cloth", "Navy worsted, 11 oz")
    front.type("Length of the piece", "3 1/2 yd")
    front.page.get_by_label("Cutter").select_option(label=name)
    front.button("Order it")
    front.link("Book a fitting")
    book_the_first_free_time(front, name)

    open_garment(fitter)
    fitter.link("Before the shears")
    fitter.button("It is cut from these")

    bench.link("Today")
    bench.link("Coat", exact=False)
    bench.button("basted for fitting")


def start_the_fitting(front: Tablet, fitter: Tablet) -> None:
    say(front, "Arrived")
    fitter.link("Fitting")
    fitter.button(f"Start the fitting of {CUSTOMER}")
    expect(fitter.page.get_by_role("heading", name=CUSTOMER)).to_be_visible()


def start_without_booking(fitter: Tablet, customer: str, garment: str) -> None:
    fitter.link("Fitting")
    fitter.type("Customer number", customer)
    fitter.button("Show the garments")
    fitter.choose("Garments tried on", garment)
    fitter.button("Start the fitting")
    expect(fitter.page.get_by_role("heading", name=CUSTOMER)).to_be_visible()


def log_fault(fitter: Tablet, zone: str, fault: str, side: str, amount: str) -> int:
    """Zone, fault with its side, amount; how many touches it took."""
    before = fitter.taps
    zones = fitter.page.get_by_role("list", name="Zones, from the top down")
    fitter.tap(zones.get_by_role("link", name=f"{zone} not looked at", exact=True))
    panel = fitter.page.get_by_role("region", name=zone, exact=True)
    tile = panel.get_by_role("radio", name=f"{fault}, {side}" if side else fault, exact=True)
    fitter.tap(tile.locator("xpath=ancestor::label"))
    fitter.button(amount)
    expect(seen(fitter).filter(has_text=fault)).to_have_count(1)
    return fitter.taps - before


def seen(fitter: Tablet):
    """The faults in the running list."""
    return fitter.page.locator("#seen > ul > li")


def answer_each(fitter: Tablet) -> None:
    """The first of the usual alterations for every fault."""
    for _, fault, _, _ in FAULTS:
        line = seen(fitter).filter(has_text=fault)
        fitter.tap(line.get_by_role("button", pressed=False).first)
        expect(line.get_by_role("button", pressed=True)).to_have_count(1)


def close_and_book(fitter: Tablet) -> None:
    fitter.button(f"Issue the ticket: {len(FAULTS)} lines")
    expect(fitter.page.get_by_text("is issued.")).to_be_visible()
    fitter.button("Alter and look again")
    fitter.link("Book the next fitting")
    fitter.tap(fitter.page.get_by_role("group", name="Free times").get_by_role("button").first)
    expect(fitter.page.get_by_text(f"Booked: {CUSTOMER}")).to_be_visible()


def print_the_ticket(fitter: Tablet) -> tuple[list[str], list[str]]:
    """The paper: its lines of text, and what a reader of QR codes sees on its first page."""
    fitter.link("Workroom")
    fitter.tap(fitter.page.locator("a.ticket"))
    address = fitter.page.get_by_role("link", name="Print").get_attribute("href")
    answer = fitter.page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.body())).pages)
    picture = pypdfium2.PdfDocument(answer.body())[0].render(scale=150 / 72).to_pil()
    codes = [code.text for code in zxingcpp.read_barcodes(picture)]
    return [line.strip() for line in text.splitlines()], codes


def do_the_work(bench: Tablet, address: str) -> None:
    """The address is what the bench's camera read from the paper."""
    bench.page.goto(address)
    bench.button("Take in hand")
    bench.button("Done")
    expect(bench.page.get_by_text("Done,", exact=False).first).to_be_visible()


def move_to_today(front: Tablet, purpose: str, at: str) -> None:
    """The customer comes sooner than booked."""
    front.link("Customers")
    front.type("Find a customer", CUSTOMER[:6])
    front.link(CUSTOMER, exact=False)
    front.tap(front.page.get_by_role("link", name=purpose).first)
    front.link("Move")
    front.type("Why it is moved", "It is ready sooner")
    front.type("Day", f"{timezone.localdate()}")
    front.type("From", at)
    front.tap(front.page.locator("main").get_by_role("button", name="Move").last)
    expect(front.page.get_by_text("Moved.")).to_be_visible()


def judge(fitter: Tablet) -> None:
    """Asked before anything else, and answered."""
    first = fitter.page.locator("main h2").first
    expect(first).to_have_text("What became of last time\u2019s alterations?")
    lines = fitter.page.locator("#last-time li")
    expect(lines).to_have_count(len(FAULTS))
    for number, verdict in enumerate(VERDICTS):
        said = lines.nth(number).get_by_role("button", name=verdict)
        fitter.tap(said)
        expect(said).to_have_attribute("aria-pressed", "true")


def find_clean_and_decide(fitter: Tablet, step: str) -> None:
    fitter.button("Looked at the rest: clean")
    expect(fitter.page.get_by_text("Looked at the rest: 14 zones clean.")).to_be_visible()
    fitter.button(step)
    # The key that was touched has the same words: what is decided stands where the keys were.
    expect(fitter.page.locator("#next-step p.lead b")).to_have_text(step)


def finish(fitter: Tablet, bench: Tablet) -> None:
    fitter.link("Book the next fitting")
    fitter.tap(fitter.page.get_by_role("group", name="Free times").get_by_role("button").first)
    bench.link("Today")
    bench.link("Coat", exact=False)
    bench.button("finished")

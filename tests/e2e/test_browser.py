"""The browser tests' own tools: a served house answers, and what goes wrong is seen."""

from urllib.request import urlopen

from django.contrib.auth.models import User

from customers.models import House
from tests.e2e.browser import UPRIGHT

SIGN_IN = "/people/sign-in/"


def test_served_house_answers_on_real_settings(live_house):
    with urlopen(f"{live_house.url}/health/") as answer:
        policy = answer.headers["Content-Security-Policy"].split("; ")

        assert answer.read() == b"ok"
        assert [rule for rule in policy if rule.startswith("script-src")] == ["script-src 'self'"]


def test_page_is_a_tablet_lying_flat(page):
    what = "[innerWidth, innerHeight, navigator.maxTouchPoints > 0]"

    assert page.evaluate(what) == [1180, 820, True]


def test_test_and_server_share_one_database(live_house):
    User.objects.create_user("Nell")

    printed = live_house.manage(
        "shell", "--verbosity=0", "-c", "print(User.objects.get().username)"
    )

    assert printed == "Nell\n"
    assert House.objects.count() == 1


def test_each_tablet_is_a_browser_of_its_own(open_page):
    upright, other = open_page(UPRIGHT), open_page()

    for tablet in (upright, other):
        tablet.goto(SIGN_IN)
    upright.evaluate("document.cookie = 'kept=1'")

    assert upright.viewport_size == {"width": 820, "height": 1180}
    assert ["kept" in tablet.evaluate("document.cookie") for tablet in (upright, other)] == [
        True,
        False,
    ]


def test_refused_script_is_noted_as_problem(page, problems):
    page.goto(SIGN_IN)
    page.evaluate("""() => {
        const script = document.createElement("script");
        script.textContent = "1";
        document.body.append(script);
    }""")

    seen = " ".join(problems)
    problems.clear()
    assert seen.startswith("Executing inline script violates the following Content Security Policy")


def test_axe_names_each_serious_fault(page, axe):
    page.goto(SIGN_IN)
    before = axe(page)

    page.evaluate("document.documentElement.lang = ''")
    page.evaluate("document.querySelectorAll('label').forEach((label) => label.remove())")

    assert before == []
    assert [violation.split(":")[0] for violation in axe(page)] == ["html-has-lang", "label"]

"""The browser tests' own tools: a served house answers, and what goes wrong is seen."""

from urllib.request import urlopen

from django.contrib.auth.models import User

from customers.models import House
from tests.e2e.browser import UPRIGHT


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


def test_each_tablet_is_a_browser_of_its_own(open_page, problems):
    upright, other = open_page(UPRIGHT), open_page()

    upright.goto("/health/")
    upright.evaluate("document.cookie = 'kept=1'")
    other.goto("/health/")
    problems.clear()  # a bare text page names no icon

    assert upright.viewport_size == {"width": 820, "height": 1180}
    assert [len(tablet.context.cookies()) for tablet in (upright, other)] == [1, 0]


def test_refused_script_is_noted_as_problem(page, problems):
    page.goto("/health/")
    page.evaluate("""() => {
        const script = document.createElement("script");
        script.textContent = "1";
        document.body.append(script);
    }""")

    seen = " ".join(problems)
    problems.clear()
    assert "violates the following Content Security Policy" in seen


def test_axe_names_each_serious_fault(page, axe, problems):
    page.goto("/health/")
    page.evaluate("document.body.innerHTML = '<main><h1>House</h1><img src=\"data:,\"></main>'")

    names = ["document-title", "html-has-lang", "image-alt"]
    assert [violation.split(":")[0] for violation in axe(page)] == names
    problems.clear()

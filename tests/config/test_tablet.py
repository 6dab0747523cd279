"""The manifest and the service worker, as the W3C's two texts want them served."""

from PIL import Image

from tests.live_house import ROOT

ICONS = ROOT / "static"


def size_of(name):
    with Image.open(ICONS / name) as icon:
        return "{}x{}".format(*icon.size)


def test_manifest_names_icons_of_the_sizes_they_have(client):
    said = client.get("/app.webmanifest").json()

    names = [icon["src"].removeprefix("/static/") for icon in said["icons"]]
    sizes = [size_of(name) for name in names]
    assert sizes == [icon["sizes"] for icon in said["icons"]] == ["192x192", "512x512"]
    assert (said["scope"], said["start_url"], said["display"]) == ("/", "/", "standalone")


def test_worker_is_a_script_that_may_rule_everything(client):
    answer = client.get("/worker.js")

    assert answer["Content-Type"] == "text/javascript; charset=utf-8"
    assert answer["Service-Worker-Allowed"] == "/"

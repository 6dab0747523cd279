"""The settings as a process finds them: read by a process of their own, from its environment."""

import json
import subprocess
import sys

import pytest

from fittings.config import environment as env
from tests.live_house import ROOT, environment

MAKE_KEY = """
import sys
from fittings.config.environment import Path, secret_key
print(secret_key(Path(sys.argv[1])))
"""
SHOW = """
import json, sys
from fittings.config import settings
print(json.dumps({name: getattr(settings, name, None) for name in sys.argv[1:]}, default=str))
"""


def run(data, *command, **variables):
    return subprocess.run(
        [sys.executable, *command],
        cwd=ROOT,
        env={**environment(data), **variables},
        capture_output=True,
        text=True,
        check=False,
    )


def settings_under(data, *names, **variables):
    finished = run(data, "-c", SHOW, *names, **variables)
    assert finished.returncode == 0, finished.stderr
    return json.loads(finished.stdout)


def test_settings_without_variables_are_safe(tmp_path):
    settings = settings_under(tmp_path, "DEBUG", "ALLOWED_HOSTS", "TIME_ZONE")

    assert settings == {
        "DEBUG": False,
        "ALLOWED_HOSTS": ["127.0.0.1", "localhost"],
        "TIME_ZONE": "Europe/London",
    }


def test_data_folder_holds_everything_kept(tmp_path):
    data = tmp_path / "100% wool #1"

    settings = settings_under(data, "MEDIA_ROOT", "STATIC_ROOT", "DATABASES")

    assert settings["MEDIA_ROOT"] == f"{data}/photographs"
    assert settings["STATIC_ROOT"] == f"{data}/collected"
    assert settings["DATABASES"]["default"]["NAME"] == f"{data}/ledger.sqlite3"


def test_first_run_makes_private_folder_and_key(tmp_path):
    data = tmp_path / "house"

    first = settings_under(data, "SECRET_KEY")
    second = settings_under(data, "SECRET_KEY")

    assert first == second
    assert len(first["SECRET_KEY"]) >= 50
    assert oct(data.stat().st_mode)[-3:] == "700"
    assert oct((data / "secret-key").stat().st_mode)[-3:] == "600"


def test_two_houses_have_different_keys(tmp_path):
    keys = {settings_under(tmp_path / name, "SECRET_KEY")["SECRET_KEY"] for name in ("a", "b")}

    assert len(keys) == 2


def test_secret_key_file_may_lie_elsewhere(tmp_path):
    path = tmp_path / "key"
    path.write_text("k" * 64)

    settings = settings_under(tmp_path, "SECRET_KEY", LEDGER_SECRET_KEY_FILE=str(path))

    assert settings == {"SECRET_KEY": "k" * 64}


def test_many_first_runs_at_once_agree_on_the_key(tmp_path):
    command = [sys.executable, "-c", MAKE_KEY, tmp_path / "key"]
    processes = [
        subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) for _ in range(8)
    ]

    keys = {process.communicate()[0].strip() for process in processes}

    assert [len(key) >= 50 for key in keys] == [True]


def test_reader_never_sees_a_key_half_written(tmp_path, monkeypatch):
    path = tmp_path / "key"
    seen = []
    monkeypatch.setattr(
        env.secrets, "token_urlsafe", lambda _: seen.append(path.exists()) or "k" * 64
    )

    assert env.secret_key(path) == "k" * 64
    assert seen == [False]


@pytest.mark.parametrize("name", ["LEDGER_DEBUG", "LEDGER_HTTPS"])
@pytest.mark.parametrize("value", ["maybe", "2", "-", "truefalse"])
def test_flag_refuses_what_is_neither_yes_nor_no(name, value):
    with pytest.raises(env.SettingError) as refused:
        env.flag(name, env={name: value})

    assert str(refused.value) == f"{name} must be yes or no (1 or 0), not {value!r}."


@pytest.mark.parametrize(
    ("value", "meant"),
    [("1", True), ("yes", True), (" ON ", True), ("0", False), ("no", False), ("", False)],
)
def test_flag_reads_plain_yes_and_no(value, meant):
    assert env.flag("LEDGER_DEBUG", env={"LEDGER_DEBUG": value}) is meant


@pytest.mark.parametrize(
    ("variables", "complaint"),
    [
        ({"LEDGER_DEBUG": "perhaps"}, "LEDGER_DEBUG must be yes or no"),
        ({"LEDGER_ALLOWED_HOSTS": "*"}, "LEDGER_ALLOWED_HOSTS"),
        ({"LEDGER_TIME_ZONE": "Europe/Nowhere"}, "LEDGER_TIME_ZONE"),
        ({"DATABASE_URL": "ftp://somewhere/else"}, "DATABASE_URL"),
    ],
)
def test_process_refuses_to_start_on_bad_variable(tmp_path, variables, complaint):
    finished = run(tmp_path, "manage.py", "check", **variables)

    assert finished.returncode == 1
    assert complaint in finished.stderr.splitlines()[-1]


def test_short_secret_key_is_refused(tmp_path):
    path = tmp_path / "key"
    path.write_text("short")

    with pytest.raises(env.SettingError, match="too short"):
        env.secret_key(path)


def test_deploy_check_passes_behind_https(tmp_path):
    command = ("manage.py", "check", "--deploy", "--fail-level", "WARNING")

    behind_https = run(tmp_path, *command, LEDGER_HTTPS="1")
    without = run(tmp_path, *command)

    assert behind_https.stdout == "System check identified no issues (0 silenced).\n"
    assert [behind_https.returncode, without.returncode] == [0, 1]


def test_https_makes_cookies_host_bound_and_secure(tmp_path):
    names = (
        "SESSION_COOKIE_NAME",
        "SESSION_COOKIE_SECURE",
        "CSRF_COOKIE_NAME",
        "CSRF_COOKIE_SECURE",
    )

    settings = settings_under(tmp_path, *names, LEDGER_HTTPS="1")

    assert list(settings.values()) == ["__Host-ledger-session", True, "__Host-ledger-csrf", True]


def test_proxys_word_for_https_counts_only_when_told(tmp_path):
    names = ("SECURE_PROXY_SSL_HEADER", "SECURE_HSTS_SECONDS", "TABLET_COOKIE_NAME")

    plain = settings_under(tmp_path, *names)
    behind = settings_under(tmp_path, *names, LEDGER_HTTPS="1")

    assert list(plain.values()) == [None, None, "ledger-tablet"]
    header = ["HTTP_X_FORWARDED_PROTO", "https"]
    assert list(behind.values()) == [header, 365 * 24 * 60 * 60, "__Host-ledger-tablet"]


def test_address_of_house_is_kept_without_its_slash(tmp_path):
    settings = settings_under(tmp_path, "ADDRESS", LEDGER_ADDRESS="http://ledger.local:8000/")

    assert settings == {"ADDRESS": "http://ledger.local:8000"}


@pytest.mark.parametrize("raw", ["ledger.local", "ftp://a", "http://", "http://a/b", "http://a?b"])
def test_address_of_house_that_cannot_be_meant_is_refused(raw):
    with pytest.raises(env.SettingError, match="LEDGER_ADDRESS must look like"):
        env.web_address("LEDGER_ADDRESS", env={"LEDGER_ADDRESS": raw})


def test_photographs_lie_where_several_servers_see_them(tmp_path):
    told = tmp_path / "storage.json"
    told.write_text('{"BACKEND": "house.Shared", "OPTIONS": {"bucket": "coats"}}')

    settings = settings_under(
        tmp_path,
        "MEDIA_ROOT",
        "STORAGES",
        LEDGER_PHOTOGRAPHS=str(tmp_path / "shared"),
        LEDGER_STORAGE_FILE=str(told),
    )

    assert settings["MEDIA_ROOT"] == str(tmp_path / "shared")
    assert settings["STORAGES"]["default"] == {
        "BACKEND": "house.Shared",
        "OPTIONS": {"bucket": "coats"},
    }


def test_photographs_lie_in_whole_files_by_default():
    assert env.storage("LEDGER_STORAGE_FILE", default="a.B", env={}) == {
        "BACKEND": "a.B",
        "OPTIONS": {},
    }


@pytest.mark.parametrize("said", ["{", "[]", "{}", '{"BACKEND": 1}', '{"BACKEND": "a", "X": 1}'])
def test_file_that_names_no_storage_is_refused(tmp_path, said):
    path = tmp_path / "storage.json"
    path.write_text(said)

    with pytest.raises(env.SettingError, match="LEDGER_STORAGE_FILE names a file that is no"):
        env.storage("LEDGER_STORAGE_FILE", default="a.B", env={"LEDGER_STORAGE_FILE": str(path)})

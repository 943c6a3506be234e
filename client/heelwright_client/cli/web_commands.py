"""`heelwright web`: the planning front end, served from this machine."""

from __future__ import annotations

import secrets
import sys

import click

from heelwright_client.cli.output import show
from heelwright_client.cli.settings import Settings, pass_settings

_LOOPBACK = ("127.0.0.1", "localhost", "::1")
DEFAULT_PORT = 8378


@click.command()
@click.option("--port", type=click.IntRange(1, 65535), default=DEFAULT_PORT, show_default=True)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on; afar, put TLS before it.")
@click.option("--proxies", type=click.IntRange(0, 5), default=0, help="Proxies before it whose headers are believed.")
@pass_settings
def web(settings: Settings, /, port: int, host: str, proxies: int) -> None:
    """Serve the planning front end for browsers.

    It holds no data: every page asks the service, with the token of whoever has signed in. On loopback an address
    that signs you in once, with your own token, is printed. Stop it with Ctrl-C.
    """
    try:
        import cryptography  # noqa: F401 (only to see whether the extra is there)
        import flask_wtf  # noqa: F401
    except ModuleNotFoundError as error:
        from heelwright_client.errors import MissingExtraError

        raise MissingExtraError("The front end is not installed; run: pip install 'heelwright[web]'") from error
    from platformdirs import user_config_path

    from heelwright_client.configuration import read_configuration
    from heelwright_client.web.app import create_app
    from heelwright_client.web.serve import serve
    from heelwright_client.web.settings import LOOPBACK_NAMES, WebSettings, kept_secret

    local = host in _LOOPBACK
    found = read_configuration(settings.url, settings.token)
    ticket = secrets.token_urlsafe(24) if local and found.token else None
    app = create_app(
        WebSettings(
            api_url=found.url,
            secret=kept_secret(user_config_path("heelwright")),
            trusted_hosts=LOOPBACK_NAMES if local and not proxies else (),
            proxies=proxies,
            own_token=found.token if ticket else None,
            ticket=ticket,
            transport=settings.transport,
        )
    )
    address = f"http://{'localhost' if local else host}:{port}"
    show([f"The planning front end listens on {address} and asks the service at {found.url}."])
    if ticket:
        show([f"Signs you in once, with your own token: {address}/welcome/{ticket}"])
    sys.stdout.flush()
    serve(app, host, port)

"""What every command shares: where the service is, how to answer, and the client itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import click

from heelwright_client.units import SI, System

if TYPE_CHECKING:
    from requests.adapters import BaseAdapter

    from heelwright_client.client import Client


@dataclass
class Settings:
    """The options before the command; the client is made when a command first needs it."""

    url: str | None = None
    token: str | None = field(default=None, repr=False)
    as_json: bool = False
    system: System = SI
    transport: BaseAdapter | None = None

    @cached_property
    def client(self) -> Client:
        """The client, made once."""
        from heelwright_client.client import Client

        return Client(self.url, self.token, transport=self.transport)


pass_settings = click.make_pass_decorator(Settings, ensure=True)

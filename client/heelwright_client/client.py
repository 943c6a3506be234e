"""The client in one object: a connection and one attribute a resource."""

from __future__ import annotations

from types import TracebackType

from requests.adapters import BaseAdapter

from heelwright_client.alterations import Alterations
from heelwright_client.configuration import read_configuration
from heelwright_client.deviations import Deviations
from heelwright_client.drift import Drifts
from heelwright_client.events import Events
from heelwright_client.fleet import Fleet
from heelwright_client.history import History
from heelwright_client.http import READ_TIMEOUT_S, Connection, Document, ListPage, Query
from heelwright_client.hydrostatics import Hydrostatics
from heelwright_client.lightships import Lightships
from heelwright_client.model_acceptance import ModelAcceptances
from heelwright_client.reductions import Reductions
from heelwright_client.sessions import Sessions
from heelwright_client.stability_tests import StabilityTests
from heelwright_client.tokens import Tokens
from heelwright_client.vessels import Vessels
from heelwright_client.weight_plans import WeightPlans


class Client:
    """A client of one Heelwright service.

    Parameters
    ----------
    url : str or None
        Address; environment, configuration file or the loopback default where None.
    token : str or None
        Bearer token; environment or configuration file where None.
    timeout_s : float
        Longest wait for an answer [s].
    transport : requests.adapters.BaseAdapter or None
        Stands in for the network.

    Examples
    --------
    >>> with Client("http://127.0.0.1:8377", "a-token") as client:
    ...     client.connection.url
    'http://127.0.0.1:8377'
    """

    def __init__(
        self,
        url: str | None = None,
        token: str | None = None,
        *,
        timeout_s: float = READ_TIMEOUT_S,
        transport: BaseAdapter | None = None,
    ) -> None:
        found = read_configuration(url, token)
        self.connection = Connection(found.url, found.token, timeout_s=timeout_s, transport=transport)
        self.vessels = Vessels(self.connection)
        self.lightships = Lightships(self.connection)
        self.alterations = Alterations(self.connection)
        self.history = History(self.connection)
        self.model_acceptances = ModelAcceptances(self.connection)
        self.fleet = Fleet(self.connection)
        self.hydrostatics = Hydrostatics(self.connection)
        self.weight_plans = WeightPlans(self.connection)
        self.reductions = Reductions(self.connection)
        self.deviations = Deviations(self.connection)
        self.tests = StabilityTests(self.connection)
        self.drift = Drifts(self.connection)
        self.tokens = Tokens(self.connection)
        self.sessions = Sessions(self.connection)
        self.events = Events(self.connection)

    def __enter__(self) -> Client:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.connection.close()

    def page(self, of: str, *, limit: int, cursor: str | None = None, **query: Query) -> ListPage:
        """Read one page of a list, for whoever shows it page by page; a resource's iterator reads it to its end.

        Parameters
        ----------
        of : str
            Which list: its path below ``/v1/``, such as ``tests``, ``actions`` or ``fleet/drift``.
        limit : int
            Most items.
        cursor : str or None
            As the page before gave it; None for the first page.
        **query
            What the list may be asked for, such as ``vessel_id``; None is left out.

        Returns
        -------
        ListPage
            The items and where the list goes on.
        """
        return self.connection.page(f"/v1/{of}", limit=limit, cursor=cursor, **query)

    def ready(self) -> Document:
        """Ask whether the service can answer.

        Returns
        -------
        dict
            What the service says of itself.
        """
        return self.connection.get("/readyz")

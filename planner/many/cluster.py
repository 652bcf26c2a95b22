"""Units worked on by a Dask cluster; the package `distributed` is imported only here."""

from __future__ import annotations

import asyncio
import logging
import pkgutil
import platform
import time
import uuid
import warnings
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path
from typing import Any

from planner import __version__
from planner.core.errors import InputError, Problem
from planner.many.pool import TICK, Pool
from planner.many.units import (
    Outcomes,
    Running,
    Trouble,
    Unit,
    UnitOutcome,
    Work,
    can_be_read,
    plan_unit,
)

LEAST = "2025.1"
"""The oldest release of `distributed` that the tests were run with."""

ANSWER = 8
"""Seconds in which a scheduler has to answer, and after which a lost one is given up."""

RETRIES = 2
"""How often a unit is worked on again after an error that it cannot help, such as no memory."""

GONE = ("cancelled", "lost")
"""Of a future: the scheduler is."""


@dataclass(frozen=True, slots=True)
class Tls:
    """PEM files by which client and cluster know each other: trusted certificates, ours, its key.

    Where one is None, Dask's settings have it.
    """

    ca: Path | None = None
    cert: Path | None = None
    key: Path | None = None

    def security(self, address: str) -> Any:
        """What Dask wants to know of it; `InputError` where a file is missing."""
        import distributed

        files = {"--tls-ca": self.ca, "--tls-cert": self.cert, "--tls-key": self.key}
        given = {option: file for option, file in files.items() if file}
        secret = address.startswith("tls://")
        if given and not secret:
            message = f'is for a scheduler at tls://..., and "{address}" is not one'
            raise InputError([Problem(option, 0, message) for option in given])
        for option, file in given.items():
            try:
                file.read_bytes()
            except OSError as error:
                message = f"cannot read {file}: {error.strerror}"
                raise InputError([Problem(option, 0, message)]) from None
        names = dict(zip(files, ("tls_ca_file", "tls_client_cert", "tls_client_key"), strict=True))
        described: Any = distributed.Security
        security = described(
            **{names[option]: str(file) for option, file in given.items()},
            **({"require_encryption": True} if secret else {}),
        )
        lacking = [option for option, name in names.items() if not getattr(security, name)]
        if secret and lacking:
            message = f'is needed for "{address}": a PEM file'
            raise InputError([Problem(option, 0, message) for option in lacking])
        return security


@dataclass(frozen=True, slots=True)
class Cluster:
    """A runner on the workers of a Dask scheduler, at an address such as `tcp://127.0.0.1:8786`.

    A worker that dies takes nothing with it: the scheduler hands its units to others. `notice` is
    told, in one line each, what whoever waits should know.
    """

    address: str
    notice: Callable[[str], None]
    work: Work = plan_unit
    tls: Tls = Tls()

    def __call__(self, units: Iterable[tuple[int, Unit]], told: Running) -> Outcomes:
        """Outcomes as they come; closing the iterator cancels what has not begun.

        Raises
        ------
        InputError
            The package `distributed` is missing, the scheduler does not answer, or its workers
            cannot import the planner.
        """
        with _client(self.address, self.tls) as client:
            for line in _warnings(client, self.address):
                self.notice(line)
            session = _ClusterPool(client, self.address, self.work)
            try:
                yield from session.outcomes(units, told)
            finally:
                session.cancel()


class _ClusterPool(Pool):
    """The workers of a scheduler, which hands them their units."""

    def __init__(self, client: Any, address: str, work: Work) -> None:
        super().__init__()
        self._client, self._address, self._work = client, address, work
        self._name = f"breakplan-{uuid.uuid4().hex}"  # another call's results are not ours
        self._given = 0
        self._seen: list[str] = []
        self._next_look = 0.0

    def cancel(self) -> None:
        """Take back what is not done."""
        if self.at_work and self._client.status == "running":
            with suppress(Exception):  # where nobody is left to be told
                self._client.cancel([*self.at_work])

    def submit(self, number: int, unit: Unit) -> Any:
        self._given += 1  # a unit that is given again is not the one before
        key = f"{self._name}-{self._given}-{number}"
        return self._client.submit(self._work, unit, key=key, pure=False, retries=RETRIES)

    def outcome(self, future: Any) -> UnitOutcome | None:
        """What came of a unit; None where the workers that were at it died."""
        from distributed.scheduler import KilledWorker

        if future.status == "lost" and self._client.status == "running":
            return None  # its worker died before we had the plan; the scheduler is there
        if future.status in GONE:
            return self._lost()
        try:
            outcome: UnitOutcome = future.result()  # worked on again if its worker died since
        except KilledWorker:
            return None
        except Exception as error:
            if future.status == "finished":  # what came cannot be read here
                return _other_release()
            return self._lost() if future.status in GONE else Trouble.unexpected(error)
        return outcome if can_be_read(outcome) else _other_release()

    def killed(self) -> Trouble:
        brief = "the workers that planned it were killed"
        return Trouble(brief, f"{brief}, again and again: see their logs (out of memory?)")

    def _lost(self) -> Trouble:
        brief = "the cluster was lost"
        return Trouble(brief, f"the scheduler at {self._address} was lost before it was planned")

    def running(self) -> list[int]:
        """Numbers of the units that some worker has, as of the last look."""
        now = time.perf_counter()
        if now >= self._next_look:
            self._next_look = now + TICK
            with suppress(Exception):  # the scheduler may just be lost
                processing = self._client.processing()
                self._seen = [key for keys in processing.values() for key in keys]
        numbers = {future.key: number for future, (number, _) in self.at_work.items()}
        return sorted(numbers[key] for key in self._seen if key in numbers)


def _other_release() -> Trouble:
    brief = "the releases differ"
    return Trouble(
        brief,
        f"the worker's answer cannot be read by breakplan {__version__}: {brief}; install the "
        "same one there and here",
    )


@contextmanager
def _client(address: str, tls: Tls) -> Iterator[Any]:
    """A client of a scheduler, silent but for what is said here."""
    try:
        import dask
        import distributed
    except ImportError:
        message = f"needs the package distributed: pip install 'distributed>={LEAST}'"
        raise _refused(message) from None
    settings = {"distributed.comm.timeouts.connect": f"{ANSWER}s"}
    with dask.config.set(settings), _silence():
        connect: Any = distributed.Client  # its own hints are partial
        security = tls.security(address)
        try:
            asyncio.run(_knock(address, security))
            client = connect(address, timeout=ANSWER, set_as_default=False, security=security)
        except TimeoutError:
            raise _refused(f'no Dask scheduler answers at "{address}" in {ANSWER} s') from None
        except Exception as error:  # of whatever kind: nobody whom we could work with is there
            reason = " ".join(str(error).split()) or type(error).__name__
            raise _refused(f'no Dask scheduler answers at "{address}": {reason}') from None
        try:
            yield client
        finally:
            with suppress(Exception):
                client.close(timeout=2)


@contextmanager
def _silence() -> Iterator[None]:
    """Keep the library's log and warnings to itself: what matters of them is told in our lines."""
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logging.disable(before)


async def _knock(address: str, security: Any) -> None:
    """See whether a scheduler answers: a client that gets no answer is not quickly got rid of."""
    import distributed

    call: Any = distributed.rpc
    arguments = security.get_connection_args("client")
    async with call(address, timeout=ANSWER, connection_args=arguments) as scheduler:
        await asyncio.wait_for(scheduler.identity(), ANSWER)


def _refused(message: str) -> InputError:
    return InputError([Problem("--scheduler", 0, message)])


def _warnings(client: Any, address: str) -> Iterator[str]:
    """What one should know of the workers there are; those without the planner are refused.

    What is asked of them are functions of the standard library, which all of them have.
    """
    asked: dict[str, tuple[str, Callable[..., str], tuple[str, ...]]] = {
        "breakplan": (__version__, pkgutil.resolve_name, ("planner:__version__",)),
        "highspy": (metadata.version("highspy"), metadata.version, ("highspy",)),
        "python": (platform.python_version(), platform.python_version, ()),
    }
    for name, (ours, function, words) in asked.items():
        found = client.run(function, *words, on_error="return")
        if not found:
            yield f"no worker has joined {address} yet: waiting for one"
            return
        for worker, theirs in found.items():
            if isinstance(theirs, ImportError):
                raise _refused(f"the worker {worker} cannot import {name}: install it there")
        others = Counter(each for each in found.values() if isinstance(each, str) and each != ours)
        for theirs, count in others.items():
            yield f"{count} of {len(found)} workers have {name} {theirs}, and here it is {ours}"

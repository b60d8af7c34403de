"""Libraries without the parts of them that a screen in a terminal never uses.

Two libraries bring along a third of the memory that a drill would need, and some of the time
to its first frame: asyncio loads OpenSSL, though nothing on the screen speaks to a network, and
python-flint loads matrices, power series and finite fields, though only a handful of its types
is ever asked for.  Both are left out here, and come once somebody does ask for them.
"""

from __future__ import annotations

import sys
from importlib import import_module
from importlib.machinery import ModuleSpec, PathFinder
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from importlib.abc import Loader

_OPTIONAL = ("ssl", "bz2", "lzma")
"""What asyncio and shutil do without where Python was built without them."""

_FIRST = "flint.pyflint"
"""Has to be imported before all others of its kind."""
HOMES = {
    "ctx": _FIRST,
    "Ordering": "flint.flint_base.flint_base",
    "acb": "flint.types.acb",
    "acb_poly": "flint.types.acb_poly",
    "arb": "flint.types.arb",
    "arb_poly": "flint.types.arb_poly",
    "fmpq": "flint.types.fmpq",
    "fmpq_mat": "flint.types.fmpq_mat",
    "fmpq_poly": "flint.types.fmpq_poly",
    "fmpz": "flint.types.fmpz",
    "fmpz_mpoly": "flint.types.fmpz_mpoly",
    "fmpz_mpoly_ctx": "flint.types.fmpz_mpoly",
    "fmpz_poly": "flint.types.fmpz_poly",
}
"""Where the names that we use live, in the versions of python-flint that we take."""


def without_network() -> None:
    """Import asyncio as it is where Python was built without OpenSSL, which is left alone."""
    if "asyncio" in sys.modules:
        return
    absent = {name: None for name in _OPTIONAL if name not in sys.modules}
    # None means: not to be found (Python reference, "The module cache").
    sys.modules.update(absent)  # type: ignore[arg-type]
    try:
        import asyncio
        import shutil  # noqa: F401
    finally:
        for name in absent:
            del sys.modules[name]
    assert asyncio.run is not None


def few_numbers() -> None:
    """Let python-flint, once it is imported, import no more than it is asked for."""
    if "flint" not in sys.modules and not any(isinstance(f, _Finder) for f in sys.meta_path):
        sys.meta_path.insert(0, _Finder())


class _Flint(ModuleType):
    """python-flint's package, whose names are imported when they are first asked for.

    At any name that is not among ours it becomes the whole package, as it is without us.
    """

    def __getattr__(self, name: str) -> object:
        if name.startswith("__") and name not in ("__all__", "__version__"):
            raise AttributeError(name)  # what Python asks of any module
        try:
            import_module(_FIRST)
            found: object = getattr(import_module(HOMES[name]), name)
        except (KeyError, ImportError, AttributeError):
            return self._whole(name)
        setattr(self, name, found)
        return found

    def _whole(self, name: str) -> object:
        assert self.__spec__ is not None
        loader = self.__spec__.loader
        assert isinstance(loader, _Loader)
        self.__class__ = ModuleType
        loader.real.exec_module(self)
        return getattr(self, name)


class _Loader:
    """Makes the package without running it."""

    def __init__(self, real: Loader) -> None:
        self.real = real

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        """An empty package."""
        return _Flint(spec.name)

    def exec_module(self, module: ModuleType) -> None:
        """Nothing is imported before it is asked for."""


class _Finder:
    """Finds python-flint where it is."""

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Where the package is; nothing for any other name."""
        spec = PathFinder.find_spec(name, path, target) if name == "flint" else None
        if spec is not None and spec.loader is not None:
            spec.loader = _Loader(spec.loader)  # type: ignore[assignment]
        return spec

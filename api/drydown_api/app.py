"""The web application: the API under /api/v1 and the pages, for one site."""

import importlib.metadata
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from fastapi.middleware.gzip import GZipMiddleware
from fastapi.middleware.trustedhost import TrustedHostMiddleware
from fastapi.staticfiles import StaticFiles

from drydown.config.model import Site
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError
from drydown_api import history, pages, tanks
from drydown_api.answers import HealthAnswer
from drydown_api.guard import LOOPBACK, Guard
from drydown_api.live import Live
from drydown_api.problems import answer_with_problems


def create_app(site: Site) -> FastAPI:
    """The application of one site; it asks the watcher and the store when it is asked itself."""
    live = Live(site)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        async with live.running():
            yield

    version = importlib.metadata.version("drydown")
    app = FastAPI(title="drydown", version=version, lifespan=lifespan, docs_url=None, redoc_url=None)
    app.state.site, app.state.live, app.state.show = site, live, pages.shower(site)
    answer_with_problems(app)
    app.add_middleware(GZipMiddleware, minimum_size=500)
    app.add_middleware(Guard)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=[*LOOPBACK, "[::1]"])
    for router in (tanks.router, history.router, pages.router):
        app.include_router(router)
    app.mount("/static", StaticFiles(directory=pages.FOLDER / "static"))

    @app.get("/api/v1/health", tags=["health"])
    async def health() -> HealthAnswer:
        """Whether what the pages rest on can be reached."""
        await live.refresh()
        store = _store_trouble(site)
        return HealthAnswer(well=not (live.trouble or store), watcher=live.trouble, store=store)

    return app


def _store_trouble(site: Site) -> str:
    try:
        StoreReader(site.store_path).close()
    except StoreError as error:
        return str(error)
    return ""

"""The web application: the API under /api/v1 and the metrics, pages, for one site."""

import importlib.metadata
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from fastapi import Depends, FastAPI
from fastapi.middleware.gzip import GZipMiddleware
from fastapi.openapi.utils import get_openapi

from drydown.config.model import Site
from drydown_api import (
    alarm_sheets,
    batches,
    blend,
    compare_page,
    deed_forms,
    deeds,
    door,
    events,
    export,
    history,
    learned,
    liking,
    logbook,
    metrics,
    outlook,
    pages,
    quality_page,
    report_page,
    run_list,
    run_page,
    settling,
    start_page,
    tanks,
    trends_page,
    upkeep_page,
)
from drydown_api.access import Access
from drydown_api.answers import HealthAnswer, ProblemAnswer
from drydown_api.guard import Guard
from drydown_api.kept import KeptAnswers
from drydown_api.liking import follow_liking
from drydown_api.live import Live
from drydown_api.problems import answer_with_problems
from drydown_api.recorded import store_trouble
from drydown_api.static_files import StaticFiles
from drydown_api.tokens import TokenFile
from drydown_api.worths import Worths
from drydown_pages.render import STATIC

PURPOSE = """Watches a biodiesel finishing tank: how dry the fuel is, how sure, and what is wrong.

An aid: not a certified gas detector and no safety system."""


def create_app(site: Site) -> FastAPI:
    """The application of one site; it asks the watcher and the store when it is asked itself."""
    live = Live(site)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        async with live.running():
            yield

    version = importlib.metadata.version("drydown")
    app = FastAPI(
        title="drydown",
        description=PURPOSE,
        version=version,
        lifespan=lifespan,
        dependencies=[Depends(follow_liking)],
        docs_url=None,
        redoc_url=None,
    )
    app.state.site, app.state.live = site, live
    app.state.reviews = {}  # of runs that are over: see `reviewed`
    app.state.kept = KeptAnswers()  # of what was recorded
    app.state.worths = Worths(site)
    app.state.access = Access(TokenFile(site.tokens_path))
    answer_with_problems(app)
    app.add_middleware(GZipMiddleware, minimum_size=500, compresslevel=6)
    app.add_middleware(Guard, access=app.state.access)
    for router in (
        events.router,
        tanks.router,
        alarm_sheets.router,
        deeds.router,
        deed_forms.router,
        logbook.router,
        history.router,
        learned.router,
        export.router,
        metrics.router,
        pages.router,
        outlook.router,
        blend.router,
        run_list.router,
        batches.router,
        upkeep_page.router,
        settling.router,
        start_page.router,
        trends_page.router,
        compare_page.router,
        report_page.router,
        run_page.router,
        quality_page.router,
        door.router,
        liking.router,
    ):
        app.include_router(router)
    app.add_route("/static/{path:path}", StaticFiles(STATIC).answer, include_in_schema=False)

    @app.get("/api/v1/health", tags=["health"])
    async def health() -> HealthAnswer:
        """Whether what the pages rest on can be reached."""
        await live.refresh()
        store = store_trouble(site)
        return HealthAnswer(well=not (live.trouble or store), watcher=live.trouble, store=store)

    app.openapi = lambda: _description(app)  # type: ignore[method-assign]
    return app


def _description(app: FastAPI) -> dict[str, Any]:
    """FastAPI's own description, but with the problems as they are really answered."""
    if app.openapi_schema is None:
        app.openapi_schema = get_openapi(
            title=app.title, version=app.version, description=app.description, routes=app.routes
        )
        for operations in app.openapi_schema["paths"].values():
            for operation in operations.values():
                if "application/json" in operation["responses"].get("422", {}).get("content", {}):
                    del operation["responses"]["422"]  # a text in a path is always valid
        schemas = app.openapi_schema["components"]["schemas"]
        schemas["ProblemAnswer"] = ProblemAnswer.model_json_schema()
        for unused in ("HTTPValidationError", "ValidationError"):
            schemas.pop(unused, None)
    return app.openapi_schema

"""How a device comes to trust this laptop's certificate: the steps over plain HTTP, the files, and the proof over HTTPS."""

from fastapi import Request
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response

from app.doors.trusting import trust_view
from app.lan.addresses import own_hosts
from app.lan.profile import profile
from app.lan.secure import Secure
from app.web.doors import content_policy
from app.web.pages import hall_of, page, secure_of
from app.web.rows import Rows
from app.web.shapes import an_object
from app.web.who import EVERYBODY, is_secure

routes = Rows(dependencies=EVERYBODY)

NO_HTTPS = "This server has HTTPS switched off, so there is no certificate to trust. Pair the device at /pair."
KEEP_NOTHING = {"Cache-Control": "no-store"}


@routes.get("/trust", spoken=True)
async def trust_page(request: Request) -> Response:
    """The steps for this device; over HTTPS the word that it has worked. A token in the fragment goes along to pairing."""
    secure = secure_of(request)
    if secure is None:
        return RedirectResponse("/pair", 303)  # browsers carry the fragment over
    host = request.url.hostname or ""
    shown = f"[{host}]" if ":" in host else host
    system = request.headers.get("user-agent", "")
    view = trust_view(secure, shown, is_secure(request), system, hall_of(request).time.wall_ms())
    answer = page(request, "doors/trust.html", view=view)
    answer.headers["Content-Security-Policy"] = content_policy(request.headers.get("host", ""), *view.origins)
    answer.headers.update(KEEP_NOTHING)
    return answer


@routes.get("/trust/yes", answers=an_object(lane_ledger={"const": True}), from_elsewhere=True)
async def yes(request: Request) -> JSONResponse:
    """Says yes. Only our own plain pages may read it from another origin: it shows them that the certificate is trusted."""
    secure = secure_of(request)
    answer = JSONResponse({"lane_ledger": True}, headers=KEEP_NOTHING | {"Vary": "Origin"})
    origin = request.headers.get("origin", "")
    if secure is not None and origin in _plain_origins(secure):
        answer.headers["Access-Control-Allow-Origin"] = origin
    return answer


@routes.get("/trust/lane-ledger.crt")
async def certificate(request: Request) -> Response:
    """The authority's certificate."""
    return _file(_needed(request).authority_der, "application/x-x509-ca-cert", "lane-ledger.crt")


@routes.get("/trust/lane-ledger.mobileconfig")
async def apple_profile(request: Request) -> Response:
    """The same as a configuration profile, as iPads and iPhones take it."""
    secure = _needed(request)
    made = profile(secure.about, secure.authority_der)
    return _file(made, "application/x-apple-aspen-config", "lane-ledger.mobileconfig")


def _plain_origins(secure: Secure) -> frozenset[str]:
    """The plain origins of this very server."""
    return frozenset(f"http://{host}:{secure.http_port}" for host in own_hosts((secure.name,)))


def _needed(request: Request) -> Secure:
    secure = secure_of(request)
    if secure is None:
        raise HTTPException(404, NO_HTTPS)
    return secure


def _file(content: bytes, kind: str, name: str) -> Response:
    headers = KEEP_NOTHING | {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=headers)

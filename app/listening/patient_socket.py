"""WebSocket with a patience that ends: frames at a pace, and a client that does not read is cut."""

from typing import Any, cast

from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol
from websockets.frames import Close, CloseCode, Frame, Opcode

from app.listening.doorkeeper import NEVER, Doorkeeper, Line
from app.live.pace import Pace
from app.web.limits import FRAME_BYTES, too_large
from app.web.lines import LINE

TOO_FAST = "Too many messages came over this socket at once."
POLICY = CloseCode.POLICY_VIOLATION  # what is not allowed (RFC 6455, 7.4.1)
TOLD: dict[int, str] = {
    CloseCode.MESSAGE_TOO_BIG: too_large(FRAME_BYTES),
    CloseCode.INVALID_DATA: "That was not text: messages on this socket are in UTF-8.",
}


class PatientSocket(WebSocketsSansIOProtocol):
    """A socket within limits: frames at a pace, and nothing more taken in from a client that does not read."""

    def __init__(self, *given: Any, keeper: Doorkeeper, line: Line, **named: Any) -> None:
        super().__init__(*given, **named)
        self.keeper, self.line = keeper, line
        self._unwanted = 0
        self._pace = Pace(keeper.limits.frames_per_second, keeper.limits.frames_at_once)

    def connection_lost(self, exc: Exception | None) -> None:
        """Gives the place back."""
        self.keeper.leave(self.line)
        super().connection_lost(exc)

    def handle_connect(self, event: Any) -> None:
        """Opens, and lets the pages vouch for the connection."""
        super().handle_connect(event)
        if hasattr(self, "scope"):
            cast(dict[str, Any], self.scope)["extensions"][LINE] = self.line

    def pause_writing(self) -> None:
        """The client does not read: it has a while to begin."""
        super().pause_writing()
        self.line.must_read(self.loop.time(), self.keeper.limits)

    def resume_writing(self) -> None:
        """The client reads again."""
        super().resume_writing()
        if not self.close_sent:
            self.line.unread_until = NEVER

    def data_received(self, data: bytes) -> None:
        """Takes what comes. After the goodbye it is heard out for a moment, so that the goodbye arrives, and not kept."""
        if self.close_sent:
            self._unwanted += len(data)
            if self._unwanted > self.keeper.limits.unwanted_bytes:
                self.transport.abort()
                return
        super().data_received(data)
        if self.close_sent:
            self.conn.data_to_send()  # the parser's own answers, which nobody is sent any more

    def handle_parser_exception(self) -> None:
        """A message that can't be taken closes the socket with a sentence; the parser itself would say figures, or nothing."""
        sent = self.conn.close_sent
        if self.close_sent or sent is None:
            return
        self.conn.data_to_send()
        sentence = TOLD.get(sent.code, sent.reason)
        self._say_goodbye(sent.code, sentence, Frame(Opcode.CLOSE, Close(sent.code, sentence).serialize()).serialize(mask=False))

    def _in_pace(self) -> bool:
        """Whether one more frame is within the pace; else the socket closes, and says why."""
        if self.close_sent:
            return False
        if self._pace.take(self.loop.time()):
            return True
        self.conn.send_close(POLICY, TOO_FAST)
        self._say_goodbye(POLICY, TOO_FAST, b"".join(self.conn.data_to_send()))
        return False

    def _say_goodbye(self, code: int, sentence: str, frame: bytes) -> None:
        """Sends the frame that closes, and hears the client out for a moment: else it might never come to read it."""
        self.queue.put_nowait({"type": "websocket.disconnect", "code": code, "reason": sentence})
        self.transport.write(frame)
        self.close_sent = True
        self.close_timer = self.loop.call_later(self.keeper.limits.goodbye_seconds, self.transport.close)
        if self.read_paused:
            self.read_paused = False
            self.transport.resume_reading()

    def handle_text(self, event: Frame) -> None:
        """A message in words."""
        if self._in_pace():
            super().handle_text(event)

    def handle_bytes(self, event: Frame) -> None:
        """A message in bytes."""
        if self._in_pace():
            super().handle_bytes(event)

    def handle_cont(self, event: Frame) -> None:
        """More of a message."""
        if self._in_pace():
            super().handle_cont(event)

    def handle_ping(self) -> None:
        """A ping, which the parser has answered already."""
        if self._in_pace():
            super().handle_ping()

    def handle_pong(self, event: Frame) -> None:
        """The answer to a ping of ours."""
        if self._in_pace():
            super().handle_pong(event)

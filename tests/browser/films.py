"""Films for tests, made by the browser itself: a clock and a square that shows each repetition, and a beep at GO."""

import base64
from pathlib import Path

from playwright.sync_api import Browser

# Draws frames in real time and records them. A beep sounds at GO; the square is bright for 100 ms from each repetition on.
RECORD = """async ({ seconds, go, reps }) => {
  const canvas = document.createElement("canvas");
  canvas.width = 160; canvas.height = 90;
  const pen = canvas.getContext("2d");
  const audio = new AudioContext();
  const out = audio.createMediaStreamDestination();
  const beep = audio.createOscillator(), loud = audio.createGain();
  beep.frequency.value = 880; loud.gain.value = 0;
  beep.connect(loud).connect(out); beep.start();
  await audio.resume();
  const stream = new MediaStream([...canvas.captureStream(30).getTracks(), ...out.stream.getTracks()]);
  const recorder = new MediaRecorder(stream, { mimeType: "video/webm;codecs=vp8,opus", videoBitsPerSecond: 200000 });
  const parts = [];
  recorder.ondataavailable = (event) => parts.push(event.data);
  recorder.start();
  const begun = performance.now(), at = audio.currentTime;
  loud.gain.setValueAtTime(0.8, at + go / 1000);
  loud.gain.setValueAtTime(0, at + go / 1000 + 0.4);
  await new Promise((done) => {
    const draw = () => {
      const now = performance.now() - begun;
      pen.fillStyle = "#123"; pen.fillRect(0, 0, 160, 90);
      const on = reps.some((rep) => now >= go + rep && now < go + rep + 100);
      pen.fillStyle = on ? "#fff" : "#456"; pen.fillRect(60, 25, 40, 40);
      pen.fillStyle = "#fff"; pen.fillText((now / 1000).toFixed(2), 4, 14);
      if (now < seconds * 1000) requestAnimationFrame(draw); else done();
    };
    draw();
  });
  await new Promise((done) => { recorder.onstop = done; recorder.stop(); });
  const bytes = new Uint8Array(await new Blob(parts).arrayBuffer());
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text);
}"""


def film(browser: Browser, path: Path, *, seconds: float, go: int, reps: list[int]) -> Path:
    """Records a film of so many seconds; `go` and `reps` in ms, repetitions after GO."""
    context = browser.new_context()
    page = context.new_page()
    page.goto("about:blank")
    path.write_bytes(base64.b64decode(page.evaluate(RECORD, {"seconds": seconds, "go": go, "reps": reps})))
    context.close()
    return path

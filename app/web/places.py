"""Where the frame's own files lie, for all who build their addresses or know them by these."""

STATIC = "/static"
BELOW_STATIC = f"{STATIC}/"
SERVICE_WORKER = "/sw.js"  # at the top: it has a say over the addresses below its own

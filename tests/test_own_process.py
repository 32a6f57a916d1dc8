"""What runs beside the server as a process of its own is ended whole, also where whoever ends it is told to stop."""

import asyncio
import gc

import pytest

from app import own_process

WAITS = "app.round.taking.check_apart"  # for a line that says what to check


@pytest.mark.parametrize("turns", range(4))
def test_a_process_has_ended_though_whoever_ends_it_is_told_to_stop(turns: int) -> None:
    async def told_to_stop() -> int | None:
        process = await own_process.begin(WAITS)
        ending = asyncio.create_task(own_process.end(process))
        for _ in range(turns):
            await asyncio.sleep(0)
        ending.cancel()
        await asyncio.gather(ending, return_exceptions=True)
        if not turns:  # it had not begun to end it
            await own_process.end(process)
        return process.returncode

    assert asyncio.run(told_to_stop()) is not None
    gc.collect()  # a line to it that is still open would be an error of this test

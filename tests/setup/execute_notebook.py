"""Runs every cell of a notebook and writes the notebook with its outputs.

Usage: execute_notebook.py NOTEBOOK RESULT FOLDER

The kernel may send what a cell shows just after it has reported the cell as done. Ordinary clients have stopped
listening by then; this one goes on for a moment, so that nothing is lost even where a cell forgets `await show`.
"""

import queue
import sys
import time

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError
from nbclient.util import ensure_async

LISTEN_ON_SECONDS = 0.15


class PatientClient(NotebookClient):
    async def _async_poll_output_msg(self, parent_id, cell, index):
        await super()._async_poll_output_msg(parent_id, cell, index)
        until = time.monotonic() + LISTEN_ON_SECONDS
        while (left := until - time.monotonic()) > 0:
            try:
                message = await ensure_async(self.kc.iopub_channel.get_msg(timeout=left))
            except queue.Empty:
                return
            if message["parent_header"].get("msg_id") == parent_id and message["msg_type"] != "status":
                self.process_message(message, cell, index)


def join_streams(outputs):
    """Lines printed one by one become one output, however the kernel happened to cut them."""
    joined = []
    for output in outputs:
        last = joined[-1] if joined else None
        if last and output.output_type == last.output_type == "stream" and output.name == last.name:
            last.text += output.text
        else:
            joined.append(output)
    return joined


source, result, folder = sys.argv[1:]
notebook = nbformat.read(source, 4)
client = PatientClient(
    notebook,
    kernel_name="deno",
    timeout=600,
    record_timing=False,
    resources={"metadata": {"path": folder}},
)
try:
    client.execute()
except CellExecutionError as error:
    sys.exit(str(error))
for cell in notebook.cells:
    cell.metadata.pop("execution", None)
    if cell.cell_type == "code":
        cell.outputs = join_streams(cell.outputs)
nbformat.write(notebook, result)

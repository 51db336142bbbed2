"""Runs the shards of `plumbray measure` as jobs of a Dask cluster with two workers, as a clinic's cluster would.

Asked are the program, the folder of studies, the folder for the parts and how many shards; answered what each job said
and on how many workers they ran.
"""

import json
import subprocess
import sys
from pathlib import Path

import dask
from dask.distributed import Client, LocalCluster, get_worker


def measure(program: str, studies: str, parts: str, shard: int, of: int) -> tuple[str, str]:
    done = subprocess.run(
        [program, "measure", studies, "--shard", f"{shard}/{of}", "--parquet-parts", parts],
        check=True,
        capture_output=True,
        text=True,
    )
    return get_worker().address, done.stdout.strip()


def main(question: Path, answer: Path) -> None:
    asked = json.loads(question.read_text())
    with (
        # A dashboard would ask for a port and for more packages.
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        jobs = [
            client.submit(
                measure,
                asked["program"],
                asked["studies"],
                asked["parts"],
                shard,
                asked["shards"],
                pure=False,
            )
            for shard in range(1, asked["shards"] + 1)
        ]
        results = client.gather(jobs)
    answer.write_text(
        json.dumps(
            {
                "workers": len({address for address, _ in results}),
                "said": [said for _, said in results],
                "dask": dask.__version__,
            }
        )
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))

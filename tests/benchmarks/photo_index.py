"""How fast and how small a picture index is, against ReportLab given the pictures as they are.

Pictures of 12 megapixels, made of gradients and noise so that a JPEG of each has the 3 to 4 MB of a
photograph. Our index and the plain way take turns in processes of their own, as a command does. The
plain way draws the same grid with ``Canvas.drawImage`` given the file's path, ReportLab's own
settings; as it takes most of a minute and gigabytes for 200, it is run on fewer and the time and
bytes of one picture are compared: both grow by the picture. ``--plain 200`` runs it on all.

Memory: the most that the process held, libraries and all, for a quarter of the pictures and for
all. Cores: processor seconds for each second on the wall.

Run: python tests/benchmarks/photo_index.py [PICTURES] [--plain PICTURES]
"""

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FASTER, SMALLER, FLAT = 10, 20, 1.1
DIFFERENT = 8
"""Pictures that are really made; the rest are copies, which neither way may notice."""


def make_picture(file: Path, seed: int) -> None:
    """Save 4000 x 3000 pixels of gradients, blotches and grain."""
    import numpy as np
    from PIL import Image

    random = np.random.default_rng(seed)
    wide, high = 4000, 3000
    x = np.arange(wide, dtype=np.float32) / wide
    y = np.arange(high, dtype=np.float32)[:, None] / high
    blotches = random.normal(0, 28, (high // 8, wide // 8, 3)).astype(np.float32)
    pixels = blotches.repeat(8, axis=0).repeat(8, axis=1)
    for channel, shade in enumerate(
        (x * 180 + 30 + 0 * y, y * 160 + 50 + 0 * x, (x + y) * 90 + 20)
    ):
        pixels[..., channel] += shade
    pixels += random.normal(0, 6, (high, wide, 1)).astype(np.float32)
    Image.fromarray(pixels.clip(0, 255).astype(np.uint8)).save(file, quality=88)


def make_pictures(folder: Path, count: int) -> list[Path]:
    files = [folder / f"{at:04d}.jpg" for at in range(count)]
    for at, file in enumerate(files):
        if at < DIFFERENT:
            make_picture(file, at)
        else:
            shutil.copyfile(files[at % DIFFERENT], file)
    return files


def ours(files: list[Path], out: Path) -> None:
    from stores.photos.thumbs import small_pictures
    from stores.planning.pictures import Shot
    from stores.printing.photo_index import write_photo_index

    shots = [
        Shot(
            number,
            file,
            taken=f"2026-03-04T14:{number % 60:02d}:00",
            caption="Which way round the clip goes",
            machine="Orrick Plover 150",
            assembly=f"Engine / Assembly {number // 25 + 1}",
            step=number // 4 + 1,
            bags=(f"A{number:03d}N",),
            width=4000,
            height=3000,
        )
        for number, file in enumerate(files, 1)
    ]
    title = "Picture index: Orrick Plover 150"
    write_photo_index(shots, out, title=title, date="25 Nov 2026", thumbs=small_pictures)


def plain(files: list[Path], out: Path) -> None:
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(out), pagesize=A4)
    for at, file in enumerate(files):
        column, row = at % 3, at // 3 % 4
        x, y = 50 + column * 170, 650 - row * 185
        canvas.drawImage(str(file), x, y, 155, 116)
        canvas.setFont("Helvetica", 9)
        canvas.drawString(x, y - 12, f"{at + 1}  step {at // 4 + 1}  A{at + 1:03d}N")
        canvas.drawString(x, y - 24, "Which way round the clip goes")
        if at % 12 == 11:
            canvas.showPage()
    canvas.save()


def peak() -> float:
    """Give the most memory that this process has held, in MB."""
    status = Path("/proc/self/status")
    if status.exists():
        for line in status.read_text(encoding="ascii").splitlines():
            if line.startswith("VmHWM"):
                return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def busy_cores(seconds: float = 1.0) -> float:
    """Watch for a second how many cores others keep busy; 0 where that cannot be seen."""
    counts = []
    for _ in range(2):
        if counts:
            time.sleep(seconds)
        if not Path("/proc/stat").exists():
            return 0.0
        line = Path("/proc/stat").read_text(encoding="ascii").splitlines()[0]
        user, nice, system = map(int, line.split()[1:4])
        counts.append(user + nice + system)
    return (counts[1] - counts[0]) / os.sysconf("SC_CLK_TCK") / seconds


def run(way: str, folder: Path, count: int) -> dict[str, float]:
    """Run one way in a process of its own."""
    words = [sys.executable, __file__, "--way", way, "--folder", str(folder), str(count)]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    return dict(json.loads(done.stdout))


def one_way(way: str, folder: Path, count: int) -> None:
    files = sorted(folder.glob("*.jpg"))[:count]
    out = folder / f"{way}.pdf"
    begin, busy = time.perf_counter(), time.process_time()
    (ours if way == "ours" else plain)(files, out)
    seconds = time.perf_counter() - begin
    print(
        json.dumps(
            {
                "seconds": seconds,
                "bytes": out.stat().st_size,
                "peak": peak(),
                "cores": (time.process_time() - busy) / seconds,
            }
        )
    )
    out.unlink()


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("pictures", nargs="?", type=int, default=200)
    asked.add_argument("--plain", type=int, default=24)
    asked.add_argument("--way")
    asked.add_argument("--folder", type=Path)
    given = asked.parse_args()
    if given.way:
        one_way(given.way, given.folder, given.pictures)
        return
    count, few = given.pictures, min(given.plain, given.pictures)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        files = make_pictures(folder, count)
        sizes = [file.stat().st_size for file in files]
        print(f"{count} pictures of 12 megapixels, {sum(sizes) / count / 1e6:.1f} MB each")
        load = busy_cores()
        run("ours", folder, 1)  # reads what both need into memory
        quarter = run("ours", folder, max(1, count // 4))
        whole = run("ours", folder, count)
        as_they_are = run("plain", folder, few)
    for words, number, took in (
        ("our index", max(1, count // 4), quarter),
        ("our index", count, whole),
        ("pictures as they are", few, as_they_are),
    ):
        print(
            f"{words:<21}{number:5d} pictures {took['seconds']:7.2f} s"
            f" {took['bytes'] / 1e6:8.2f} MB {took['peak']:6.0f} MB of memory"
            f" {took['cores']:5.2f} cores"
        )
    fast = (as_they_are["seconds"] / few) / (whole["seconds"] / count)
    small = (as_they_are["bytes"] / few) / (whole["bytes"] / count)
    scaled = "" if few == count else f", by the picture: the plain way was run on {few}"
    print(f"as fast: {fast:.1f} times   (aim: at least {FASTER}{scaled})")
    print(f"as small: {small:.1f} times   (aim: at least {SMALLER}{scaled})")
    print(
        f"memory, {count} to {max(1, count // 4)} pictures: {whole['peak'] / quarter['peak']:.2f}"
        f"   (aim: at most {FLAT})"
    )
    others = f"; others kept {load:.1f} cores busy" if load > 0.5 else ""
    print(f"cores used: {whole['cores']:.2f} of {os.cpu_count()}{others}")


if __name__ == "__main__":
    main()

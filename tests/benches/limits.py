"""What each limit of the reference costs that is reached: whole processes, their time and memory.

Makes the input of each limit in a folder of its own, runs the program on it, and prints a
table of processor seconds and of the most memory, each beside its bound. Ends with 1 where
one is missed.

    cargo build --release && python3 tests/benches/limits.py target/release/tarebook
"""

import os
import subprocess
import sys
import tempfile
import threading

MEBIBYTE = 1 << 20


def lines(count, line):
    return "".join(line(n) for n in range(count))


def dense(count):
    text = lines(count, lambda n: f"measured a{n} = {n + 1} lb ± 0.1 lb\n") + "worked s0 = a0\n"
    text += "".join(f"worked s{n} = s{n - 1} + a{n}\n" for n in range(1, count))
    return text + f"answer total = s{count - 1}\n"


def cases(count):
    return "assumed a = 1\nanswer b = a + 1\n" + lines(count, lambda n: f"case c{n}\n  a = {n}\n")


def flat(count, first):
    return lines(count, lambda n: f"assumed v{n} = {n + first}\n")


def table(count):
    return "table t\n  | a |\n" + "  | 1 |\n" * count + "answer n = sum(t.a)\n"


def slow(count):
    made = "table t{0} = draw_down({1} lb, 12 in, 20 lb, 60 °F, 0.01 lb/h, 14 W/(m2·C°), 10 psig, limit: 300 h, every: 1 min)\n"
    return lines(count, lambda n: made.format(n, 10 + n))


# what reaches a limit: files, arguments, what is typed, bounds in seconds and MiB
ROWS = [
    ("a worksheet, 64 MiB", {"a.tare": lambda: ("> " + "x" * 1021 + "\n") * (1 << 16)}, ["check", "a.tare"], None, 5, 500),
    ("a worksheet, 2 000 000 lines", {"a.tare": lambda: flat(2_000_000, 0)}, ["check", "a.tare"], None, 25, 2500),
    ("2 000 000 lines that can't be read", {"a.tare": lambda: "x\n" * 1_990_000}, ["check", "a.tare"], None, 5, 1000),
    ("1 000 000 unknown names", {"a.tare": lambda: lines(1_000_000, lambda n: f"worked a{n} = b{n} + 1\n")}, ["check", "a.tare"], None, 10, 2000),
    ("1 000 000 times one name", {"a.tare": lambda: "assumed a = 3 lb\n" * 1_000_000}, ["check", "a.tare"], None, 10, 1000),
    ("an entry of 60 MiB", {"a.tare": lambda: "q" * (60 * MEBIBYTE)}, ["check", "a.tare"], None, 5, 1000),
    ("a table of 1 000 000 rows", {"a.tare": lambda: table(1_000_000)}, ["show", "a.tare"], None, 10, 1000),
    ("a file of 32 MiB", {"a.tare": lambda: 'table t = csv("b.csv")\nanswer n = sum(t.a)\n', "b.csv": lambda: "a\n" + ("1" * 32 + ("\n")).replace("1" * 32, "1.5" + " " * 30) * 980_000}, ["show", "a.tare"], None, 10, 1000),
    ("100 000 inputs with ± and their sum", {"a.tare": lambda: dense(100_000)}, ["show", "a.tare"], None, 5, 500),
    ("40 000 cases", {"a.tare": lambda: cases(40_000)}, ["compare", "a.tare"], None, 11, 1200),
    ("500 000 cases", {"a.tare": lambda: cases(500_000)}, ["compare", "a.tare"], None, 25, 2500),
    ("two worksheets of 1 000 000 inputs", {"a.tare": lambda: flat(1_000_000, 0), "b.tare": lambda: flat(1_000_000, 1)}, ["diff", "a.tare", "b.tare"], None, 40, 4000),
    ("a run, 10 s: 400 cylinders for days", {"a.tare": lambda: slow(400)}, ["check", "a.tare"], None, 11, 500),
    ("a typed line of 60 MiB", {"a.tare": lambda: "assumed a = 1\n"}, ["open", "a.tare"], b"q" * (60 * MEBIBYTE), 2, 100),
]


def measured(program, folder, arguments, typed):
    """Processor seconds and MiB of one run."""
    with open(os.devnull, "wb") as nowhere:
        child = subprocess.Popen(
            [program, *arguments], cwd=folder, stdin=subprocess.PIPE, stdout=nowhere, stderr=nowhere
        )
        def write():
            try:
                child.stdin.write(typed or b"")
                child.stdin.close()
            except BrokenPipeError:
                pass
        writing = threading.Thread(target=write)
        writing.start()
        _, status, usage = os.wait4(child.pid, 0)
        writing.join()
    if os.waitstatus_to_exitcode(status) not in (0, 1, 3):
        raise SystemExit(f"{arguments} ended with {status}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def main():
    program, missed = os.path.abspath(sys.argv[1]), 0
    print("| input | verb | s | of | MiB | of |\n|---|---|---|---|---|---|")
    for what, files, arguments, typed, most_seconds, most_memory in ROWS:
        with tempfile.TemporaryDirectory() as folder:
            for name, text in files.items():
                with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
                    file.write(text())
            seconds, memory = measured(program, folder, arguments, typed)
        missed += seconds > most_seconds or memory > most_memory
        print(f"| {what} | `{arguments[0]}` | {seconds:.1f} | {most_seconds} | {memory:.0f} | {most_memory} |", flush=True)
    sys.exit(missed > 0)


if __name__ == "__main__":
    main()

"""What each limit of the reference costs that is reached: whole processes, their time and memory.

Makes the input of each limit in a folder of its own, runs the program on it, and prints a
table of processor seconds and of the most memory, each beside its bound. Ends with 1 where
one is missed.

    cargo build --release && python3 tests/benches/limits.py target/release/tarebook

Processor time, since other work on the machine counts less in it. The bounds are promises:
what can't be read ends in 5 s and 1000 MiB (JUNK); what is as long as a text may be, in a
minute and in what a computer of 4 GiB has (TEXT), once for each text; what only the clock
ends, in the 10 s of a run and one more, on two processors (RUN), after the reading of
what it works with. On a quiet machine each figure is below half of its bound.
"""

import multiprocessing
import os
import subprocess
import sys
import tempfile

JUNK, TEXT, RUN = (5, 1000), (60, 4096), (22, 2000)
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


def near(count):
    return lines(count, lambda n: f"worked αβγδεζηθ{n} = θηζεδγβα{n} + 1\n") + "case c\n" + lines(count, lambda n: f"  w{n} = 1\n")


def looked_up(count):
    text = "table t\n  | id | v |\n" + lines(count, lambda n: f"  | r{n} | {n} |\n")
    return text + lines(count, lambda n: f'worked a{n} = t.v of "r{n}"\n')


def wide(rows):
    head = " | ".join(f"c{n}" for n in range(1000))
    return f"table t\n  | {head} |\n" + ("  | " + " | ".join("1" * 1000) + " |\n") * rows


def worked(columns):
    return table(100_000) + lines(columns, lambda n: f"worked t.w{n} = t.a * {n}\n")


def rules(count):
    body = " + ".join(["x"] * 400)
    return f"rule r(x) = {body}\n" + lines(count, lambda n: f"worked a{n} = r({n}) + r(2) + r(3) + r(4)\n")


RUNTIME = "measured gross = 37.4 lb ± 0.1 lb\nassumed rate = 1.5 lb/h ± 0.1 lb/h\nanswer left = gross / rate\n"


def used(count):
    files = {f"u{n}.tare": lambda n=n: f"assumed a = {n}\n" for n in range(count)}
    return {"a.tare": lambda: lines(count, lambda n: f'use "u{n}.tare" as u{n}\nworked w{n} = u{n}.a\n'), **files}


def handed_in(count):
    lesson = 'assumed a = 1 lb\nassumed b "One more" [lb] = ? from "your work"\nexpect b close to a + 1 lb within 0.1 lb else "no"\n'
    model = lesson + "> word\n" * 140_000
    return {"m.tare": lambda: model, **{f"in/p{n}.tare": lambda: model for n in range(count)}}


def one(text):
    return {"a.tare": text}


# what reaches a limit: files, arguments, the file that is typed, its bounds
ROWS = [
    ("64 MiB of prose", one(lambda: ("> " + "x" * 1021 + "\n") * (1 << 16)), ["check", "a.tare"], None, TEXT),
    ("2 000 000 inputs", one(lambda: flat(2_000_000, 0)), ["check", "a.tare"], None, TEXT),
    ("2 000 000 lines that can't be read", one(lambda: "x\n" * 1_990_000), ["check", "a.tare"], None, JUNK),
    ("an entry of 60 MiB", one(lambda: "q" * (60 * MEBIBYTE)), ["check", "a.tare"], None, JUNK),
    ("1 000 000 unknown names", one(lambda: lines(1_000_000, lambda n: f"worked a{n} = b{n} + 1\n")), ["check", "a.tare"], None, TEXT),
    ("1 000 000 times one name", one(lambda: "assumed a = 3 lb\n" * 1_000_000), ["check", "a.tare"], None, TEXT),
    ("300 000 names that are near others", one(lambda: near(300_000)), ["check", "a.tare"], None, TEXT),
    ("1 000 000 rows of a table", one(lambda: table(1_000_000)), ["show", "a.tare"], None, TEXT),
    ("5 000 000 cells in 1000 columns", one(lambda: wide(5_000)), ["check", "a.tare"], None, TEXT),
    ("4 000 000 worked cells", one(lambda: worked(39)), ["check", "a.tare"], None, TEXT),
    ("a file of 32 MiB", {"a.tare": lambda: 'table t = csv("b.csv")\nanswer n = sum(t.a)\n', "b.csv": lambda: "a\n" + ("1.5" + " " * 30 + "\n") * 980_000}, ["show", "a.tare"], None, TEXT),
    ("2000 worksheets that one rests on", used(2000), ["check", "a.tare"], None, TEXT),
    ("20 000 entries of 1600 operators in rules", one(lambda: rules(20_000)), ["check", "a.tare"], None, TEXT),
    ("100 000 inputs with ± and their sum", one(lambda: dense(100_000)), ["show", "a.tare"], None, RUN),
    ("40 000 rows looked up by their texts", one(lambda: looked_up(40_000)), ["check", "a.tare"], None, RUN),
    ("400 cylinders for days", one(lambda: slow(400)), ["check", "a.tare"], None, RUN),
    ("10 000 000 draws", one(lambda: RUNTIME), ["doubt", "a.tare", "left", "--draws", "10000000"], None, RUN),
    ("10 000 values", one(lambda: RUNTIME), ["sweep", "a.tare", "rate", "--from", "1 lb/h", "--to", "2 lb/h", "--values", "10000"], None, RUN),
    ("100 000 cases", one(lambda: cases(100_000)), ["compare", "a.tare", "--time-limit", "60"], None, (60 + 60, 4096)),
    ("500 000 cases", one(lambda: cases(500_000)), ["compare", "a.tare"], None, (60 + 22, 4096)),
    ("two worksheets of 1 000 000 inputs", {"a.tare": lambda: flat(1_000_000, 0), "b.tare": lambda: flat(1_000_000, 1)}, ["diff", "a.tare", "b.tare"], None, (60 + 22, 4096)),
    ("300 worksheets of 1 MiB", handed_in(300), ["mark", "m.tare", "in"], None, TEXT),
    ("a typed line of 60 MiB", {**one(lambda: "assumed a = 1\n"), "typed": lambda: "q" * (60 * MEBIBYTE)}, ["open", "a.tare"], "typed", JUNK),
]


def make(folder, files):
    for name, text in files.items():
        path = os.path.join(folder, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text())


def measured(program, folder, arguments, typed):
    """Processor seconds and MiB of one run."""
    with open(os.path.join(folder, typed) if typed else os.devnull, "rb") as keys:
        child = subprocess.Popen(
            [program, *arguments], cwd=folder, stdin=keys, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        _, status, usage = os.wait4(child.pid, 0)
    if os.waitstatus_to_exitcode(status) not in (0, 1, 3):
        raise SystemExit(f"{arguments} ended with {status}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def main():
    program, missed = os.path.abspath(sys.argv[1]), 0
    print("| input | verb | s | of | MiB | of |\n|---|---|---|---|---|---|")
    for what, files, arguments, typed, (most_seconds, most_memory) in ROWS:
        with tempfile.TemporaryDirectory() as folder:
            # in a process of its own: what this one takes would count as its child's
            making = multiprocessing.get_context("fork").Process(target=make, args=(folder, files))
            making.start()
            making.join()
            seconds, memory = measured(program, folder, arguments, typed)
        missed += seconds > most_seconds or memory > most_memory
        print(f"| {what} | `{arguments[0]}` | {seconds:.1f} | {most_seconds} | {memory:.0f} | {most_memory} |", flush=True)
    sys.exit(missed > 0)


if __name__ == "__main__":
    main()

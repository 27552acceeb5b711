# SPDX-License-Identifier: Apache-2.0
"""What the printed completions complete, told by the shells themselves, and whether the manual page holds all that
--help tells. Arguments: command."""
import os
import pty
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

COMMAND = sys.argv[1]
# What bash takes for a word of its own though no space stands beside it.
BREAKS = re.compile(r"(=)")


def said(*arguments, **options):
    return subprocess.run(arguments, capture_output=True, text=True, timeout=60, check=True, **options).stdout


def verbs():
    listed = said(COMMAND, "--help").split("Subcommands:")[1]
    return re.findall(r"^  ([a-z]+)  ", listed, re.MULTILINE)


def options(verb):
    """Names of the options that the help of a verb lists, and the words that each takes."""
    found = {}
    for names, rest in re.findall(r"^  (-\S+)(.*)$", said(COMMAND, verb, "--help"), re.MULTILINE):
        choices = re.search(r"\{(.*?)\}", rest)
        for name in names.split(","):
            found[name] = choices.group(1).split(",") if choices else []
    return found


class Shell(unittest.TestCase):
    kind = None

    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)
        self.files = os.path.join(self.folder, "files")
        os.mkdir(self.files)
        self.script = os.path.join(self.folder, "completion")
        with open(self.script, "w", encoding="utf-8") as file:
            file.write(said(COMMAND, "completion", self.kind))


@unittest.skipUnless(shutil.which("bash"), "no bash")
class Bash(Shell):
    kind = "bash"

    def completed(self, *words):
        """What bash would offer for the last word."""
        words = [part for word in words for part in BREAKS.split(word) if part or not word]
        return said("bash", "-c", f'. "{self.script}"; COMP_WORDS=(corefeed "$@"); COMP_CWORD=$#; _corefeed; '
                    'printf "%s\\n" "${COMPREPLY[@]}"', "bash", *words, cwd=self.files).split("\n")[:-1]

    def test_every_verb(self):
        self.assertGreater(len(verbs()), 8)
        self.assertEqual(self.completed(""), [*verbs(), "--help", "--version"])
        self.assertEqual(self.completed("s"), [verb for verb in verbs() if verb.startswith("s")])

    def test_every_option_and_its_words(self):
        for verb in verbs():
            listed = options(verb)
            self.assertEqual(sorted(self.completed(verb, "-")), sorted(listed), verb)
            for name, words in listed.items():
                if words:
                    self.assertEqual(self.completed(verb, name, ""), words)
                    self.assertEqual(self.completed(verb, name, words[-1][:2]),
                                     [word for word in words if word.startswith(words[-1][:2])])
                    self.assertEqual(self.completed(verb, name + "="), words)
                    self.assertEqual(self.completed(verb, name + "=" + words[-1]), [words[-1]])

    def test_files_elsewhere(self):
        for name in ("car.corefeed", "other.json"):
            with open(os.path.join(self.files, name), "w", encoding="utf-8"):
                pass
        self.assertEqual(self.completed("solve", "ca"), ["car.corefeed"])
        self.assertEqual(self.completed("check", "car.corefeed", "--html", "o"), ["other.json"])
        self.assertEqual(self.completed("check", "car.corefeed", "--html=o"), ["other.json"])
        self.assertEqual(self.completed("solve", "nothing"), [""])

    def typed(self, *lines):
        """The arguments that the command gets when these lines are typed at a terminal."""
        ours, theirs = pty.openpty()
        surroundings = {"PATH": os.environ["PATH"], "TERM": "dumb", "PS1": "", "INPUTRC": "/dev/null",
                        "HOME": self.folder}
        with subprocess.Popen(["bash", "--norc", "--noprofile", "-i"], stdin=theirs, stdout=subprocess.PIPE,
                              stderr=theirs, cwd=self.files, env=surroundings, start_new_session=True) as process:
            for line in (f". '{self.script}'", 'corefeed() { printf "%s|" "$@"; echo; }', *lines, "exit"):
                os.write(ours, line.encode() + b"\n")
            os.close(theirs)
            # What the terminal echoes has to be taken, or bash waits.
            try:
                while os.read(ours, 4096):
                    pass
            except OSError:  # how a terminal says that its other end is closed
                pass
            out = process.stdout.read().decode()
            process.wait(timeout=60)
        os.close(ours)
        return out.splitlines()

    def test_at_a_terminal(self):
        os.mkdir(os.path.join(self.files, "check"))
        os.mkdir(os.path.join(self.files, "text"))
        with open(os.path.join(self.files, "my car.json"), "w", encoding="utf-8"):
            pass
        # A folder of a verb's name does not make it a path; a file's name is quoted.
        self.assertEqual(self.typed("corefeed che\tmy\t--stri\t--format\tte\t", "corefeed solve m\t--format=j\t"),
                         ["check|my car.json|--strict|--format|text|", "solve|my car.json|--format=json|"])


@unittest.skipUnless(shutil.which("fish"), "no fish")
class Fish(Shell):
    kind = "fish"

    def completed(self, line):
        out = said("fish", "--no-config", "-c", f"source {self.script}; complete -C '{line}'", cwd=self.files,
                   env={"PATH": os.environ["PATH"], "HOME": self.folder})
        return [one.split("\t")[0] for one in out.splitlines()]

    def test_verbs_options_and_words(self):
        self.assertEqual(sorted(self.completed("corefeed ")), sorted(verbs()))
        for verb in verbs():
            listed = options(verb)
            self.assertEqual(sorted(self.completed(f"corefeed {verb} --")),
                             sorted(one for one in listed if one[:2] == "--"))
            for name, words in listed.items():
                if words:
                    self.assertEqual(sorted(self.completed(f"corefeed {verb} {name} ")), sorted(words))


@unittest.skipUnless(shutil.which("zsh"), "no zsh")
class Zsh(Shell):
    kind = "zsh"

    def test_it_is_sound(self):
        said("zsh", "-f", "-n", self.script)
        # What it hands on for each verb, with zsh's own functions put aside.
        for verb in verbs():
            out = said("zsh", "-f", "-c", "_describe() { print -rl -- $verbs; }; _arguments() { print -rl -- $@; }; "
                       f'words=(corefeed {verb} x); CURRENT=3; . "{self.script}"')
            self.assertEqual(sorted(re.findall(r"^(-[^\[]*)\[", out, re.MULTILINE)), sorted(options(verb)), verb)


class ManualPage(unittest.TestCase):
    @unittest.skipUnless(shutil.which("groff"), "no groff")
    def test_it_holds_what_help_tells(self):
        page = said(COMMAND, "completion", "man")
        done = subprocess.run(["groff", "-man", "-Tascii", "-P-c", "-ww"], input=page, capture_output=True, text=True,
                              timeout=60, check=True)
        self.assertEqual(done.stderr, "")
        text = re.sub(".\b", "", done.stdout)
        parts = re.split(r"^   ([a-z]+) ?.*$", text, flags=re.MULTILINE)
        self.assertEqual(parts[1::2], verbs())
        for verb, part in zip(parts[1::2], parts[2::2]):
            named = re.findall(r"^       (-[^ ,\n]+)(?:, (--\S+))?", part, re.MULTILINE)
            self.assertEqual(sorted(name for names in named for name in names if name), sorted(options(verb)), verb)
        for status in ("0 done", "1 a requirement is not met", "70 a fault"):
            self.assertIn(status, re.sub(r"\s+", " ", text))


class CommandLine(unittest.TestCase):
    def test_it_is_not_listed_and_knows_four_kinds(self):
        self.assertNotIn("completion", verbs())
        done = subprocess.run([COMMAND, "completion", "csh"], capture_output=True, text=True, timeout=60, check=False)
        self.assertEqual((done.returncode, done.stdout), (2, ""))
        self.assertIn("csh not in {bash,zsh,fish,man}", done.stderr)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])

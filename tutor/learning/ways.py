"""The ways round, as they were found: a stop a line, with its task, its family and its seeds.

Made by ``python -m tests.find_the_way_round``; see ``review_round``.
"""

from ...problems.questions.model import Task

WAYS: dict[tuple[Task, ...], tuple[str, ...]] = {
    tuple(Task): (
        """
        analyse rl-high-pass
        analyse shunt-fed-notch 62
        sketch series-fed-band-pass 8 44 46
        reverse shunt-fed-band-pass 98 139
        reverse series-fed-notch 9 29 31 219 145 146
        analyse buffered-low-pass-high-pass 62 75 99
        analyse unbuffered-high-pass-pair 255
        reverse series-rlc-split-inductor 115
        reverse series-rlc-two-capacitors 33
        analyse ideal-source-pi 224
        reverse buffered-resistors 2 0 1 3 4 5
        reverse buffered-rl-rc-low-pass 149
        """,
        """
        analyse rl-high-pass
        analyse shunt-fed-notch 154
        reverse series-fed-band-pass 71
        reverse shunt-fed-band-pass 18 211 214 221 45 64
        analyse series-fed-notch 96
        analyse doubly-terminated-low-pass 174
        analyse unbuffered-low-pass-high-pass 79
        sketch series-rlc-split-capacitor 4 19 41 42 45 46
        reverse series-rlc-split-inductor 133
        reverse dangling-inductor 3 186
        analyse ideal-source-tank 0 1 4 5 8 9
        reverse buffered-rl-rc-low-pass 190 21 226 231 238 116
        """,
        """
        analyse rl-high-pass
        analyse shunt-fed-notch 219
        reverse series-fed-band-pass 1 6 18 24 32 34
        reverse shunt-fed-notch 209 224 229
        reverse buffered-rl-rc-low-pass 165
        analyse series-rlc-two-capacitors 208
        sketch series-rlc-split-inductor 9 21 22 36 50 56
        analyse buffered-low-pass-high-pass 63
        sketch unbuffered-high-pass-pair 0 1 2 3 4 5
        reverse receiver-tank 140
        analyse ideal-source-tank 2 3 6 7 10 11
        reverse dangling-inductor 12 36 206 235 190
        """,
        """
        analyse rc-low-pass
        analyse shunt-fed-band-pass 195
        reverse series-fed-band-pass 23
        reverse series-fed-notch 237 93
        analyse unbuffered-low-pass-high-pass 115 141
        sketch buffered-high-pass-pair 0 1 2 3 4 5
        analyse doubly-terminated-high-pass 310
        analyse series-rlc-split-inductor 160
        reverse series-rlc-two-capacitors 236 109
        sketch series-rlc-split-capacitor 73 14 16 74
        reverse loaded-rl-high-pass 113 34 37 146
        reverse buffered-resistors 7 6 8 9 10 11
        """,
    ),
    (Task.ANALYSE,): (
        """
        analyse rl-high-pass
        analyse shunt-fed-band-pass 195
        analyse shunt-fed-notch 168 292
        analyse series-fed-notch 29 4 121 161 178 187
        analyse unbuffered-low-pass-high-pass 239 104 115 141 197
        analyse buffered-high-pass-low-pass 219 6 16 26 121 166
        analyse series-rlc-two-capacitors 79 40 234
        analyse series-rlc-two-inductors 47
        analyse coupling-capacitor 35 2 5 10 12 14
        analyse ideal-source-tank 2 3 6 7 10 11
        analyse dangling-inductor 305 9 14 15 21 25
        analyse buffered-resistors 5 0 1 2 3 4
        """,
        """
        analyse rl-high-pass
        analyse series-fed-band-pass 244
        analyse series-fed-notch 147
        analyse shunt-fed-band-pass 72
        analyse series-rlc-two-capacitors 3
        analyse series-rlc-split-inductor 313 31 80 92 226 259
        analyse rc-high-pass-3 61 159
        analyse ideal-source-tank 12 17 18 23 26 28
        analyse dangling-inductor 324 2 5 7 13 16
        analyse ideal-source-low-pass 279 0 1 2 4 5
        analyse unbuffered-high-pass-low-pass 223 1 2 3 6 7
        analyse buffered-rl-rc-low-pass 23 0 1 2 3 4
        """,
    ),
    (Task.SKETCH,): (
        """
        sketch rl-high-pass
        sketch series-rlc-across-r 2 9 44 49 52 54
        sketch series-rlc-across-lc 15 0 1 2 3 4
        sketch unbuffered-high-pass-pair 0 1 2 3 4 5
        sketch buffered-low-pass-pair 0 1 2 3 4 5
        sketch receiver-tank-with-trimmer 0 1 2 3 4 5
        sketch receiver-tank 1 0 2 3 4 5
        sketch ideal-source-pi 0 1 2 3 4 5
        sketch dangling-inductor 0 1 2 3 4 5
        sketch shunt-fed-high-pass 5 2 6 7 8 14
        sketch coupling-capacitor 12 6 29 35 51 65
        """,
    ),
    (Task.REVERSE,): (
        """
        reverse rc-high-pass
        reverse series-rlc-across-l 252
        reverse series-rlc-across-c 172 20 153
        reverse series-rlc-across-lc 2 238 103 138 147 180
        reverse shunt-fed-band-pass 282 98 139
        reverse series-rlc-two-capacitors 222 275 481 68 194
        reverse series-rlc-split-capacitor 212 216 224 263 143 155
        reverse series-rlc-split-inductor 304 192
        reverse rc-high-pass-3 258 288 52 87 101 139
        reverse series-choke 143 112
        reverse buffered-rl-rc-low-pass 149 64
        reverse buffered-rc-rl-band-pass 50 262 70 75 79 124
        """,
    ),
}
"""By the tasks that may be asked."""

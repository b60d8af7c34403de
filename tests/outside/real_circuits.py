"""Circuits of real parts, and what a professor calls each (common practice, no single source).

Coils have the resistance that data sheets give in order of magnitude: a few ohms for hundreds of
microhenries at radio frequencies, tens of ohms for tens of millihenries, a hundred for a henry;
capacitors leak megohms, electrolytic ones have tenths of an ohm in series.
"""

NAMED = {
    # --- tuned circuits: the coil leaves a little at DC
    "source 100 kΩ; shunt (L1 = 250 µH + R1 = 5 Ω) || C1 = 100 pF; load 1 MΩ": "band-pass",
    "source 50 kΩ; shunt (L1 = 680 µH + R1 = 8 Ω) || C1 = 180 pF; load 470 kΩ": "band-pass",
    "source 1 MΩ; shunt (L1 = 330 µH + R1 = 3 Ω) || C1 = 270 pF; load 2.2 MΩ": "band-pass",
    "source 10 kΩ; shunt (L1 = 1 H + R1 = 100 Ω) || C1 = 100 nF; load 100 kΩ": "band-pass",
    "source 50 Ω; series L1 = 10 µH + R1 = 2.2 Ω + C1 = 100 pF; load 50 Ω": "band-pass",
    "series C1 = 1 µF; shunt R1 = 10 kΩ; buffer; series R2 = 1 kΩ; shunt C2 = 1 nF": "band-pass",
    # --- high-passes with a coil or a leak
    "series R1 = 1 kΩ; shunt L1 = 10 mH + R2 = 1 Ω": "high-pass",  # −60 dB at DC
    "source 600 Ω; shunt L1 = 100 mH + R1 = 5 Ω; load 600 Ω": "high-pass",
    "source 600 Ω; series C1 = 100 nF; shunt L1 = 33 mH + R1 = 22 Ω; load 600 Ω": "high-pass",
    "series C1 = 10 µF; shunt L1 = 470 µH + R1 = 0.22 Ω; load 8 Ω": "high-pass",
    "source 1 kΩ; series C1 = 1 µF || R1 = 10 MΩ; load 47 kΩ": "high-pass",
    "series R1 = 10 kΩ || C1 = 10 nF; shunt R2 = 100 Ω": "high-pass",  # 40 dB
    # --- low-passes with losses
    "series L1 = 10 mH + R1 = 33 Ω; shunt R2 = 1 kΩ": "low-pass",
    "source 600 Ω; series L1 = 10 mH + R1 = 12 Ω; shunt C1 = 27 nF; load 600 Ω": "low-pass",
    "series R1 = 100 Ω; shunt C1 = 100 µF + R2 = 0.1 Ω": "low-pass",  # 60 dB
    "series L1 = 1 mH; shunt C1 = 1 nF; load 100 kΩ": "low-pass",  # a peak of 40 dB
    "source 1 kΩ; shunt C1 = 1 nF || R1 = 10 MΩ; load 10 kΩ": "low-pass",
    # --- traps beyond the pass band
    "series L1 = 10 mH || C1 = 1 nF; shunt C2 = 100 nF; load 600 Ω": "low-pass-trap",
    "series (L1 = 10 mH + R1 = 47 Ω) || C1 = 1 nF; shunt C2 = 100 nF; load 600 Ω": "low-pass-trap",
    "source 50 Ω; shunt C1 = 100 pF; series L1 = 200 nH || C2 = 20 pF; shunt C3 = 100 pF;"
    "load 50 Ω": "low-pass-trap",
    "source 50 Ω; series L1 = 200 nH; shunt L2 = 40 nH + C1 = 100 pF; series L3 = 200 nH;"
    "load 50 Ω": "low-pass-trap",
    "source 50 Ω; series L1 = 200 nH + R1 = 0.5 Ω; shunt L2 = 40 nH + R2 = 0.5 Ω + C1 = 100 pF;"
    "series L3 = 200 nH + R3 = 0.5 Ω; load 50 Ω": "low-pass-trap",
    "source 50 Ω; series L1 = 1 mH + R1 = 0.47 Ω; shunt C1 = 100 nF + L2 = 22 nH + R2 = 47 mΩ;"
    "load 50 Ω": "low-pass-trap",  # the leads of the capacitor
    "source 50 Ω; series C1 = 100 pF; shunt L1 = 100 nH + C2 = 1 nF; series C3 = 100 pF;"
    "load 50 Ω": "high-pass-trap",
    # --- notches, to a null and of finite depth
    "source 50 Ω; shunt L1 = 10 µH + C1 = 100 pF; load 50 Ω": "notch",
    "series L1 = 10 mH || C1 = 10 nF; load 1 kΩ": "notch",
    "source 10 kΩ; shunt L1 = 1 mH + R1 = 1 Ω + C1 = 1 nF; load 10 kΩ": "notch-finite",
    "source 50 Ω; shunt L1 = 10 µH + R1 = 1 Ω + C1 = 1 nF; load 50 Ω": "notch-finite",
    "series (L1 = 10 mH + R1 = 10 Ω) || C1 = 10 nF; load 1 kΩ": "notch-finite",
    "source 300 Ω; series L1 = 1 mH || C1 = 1 nF || R1 = 47 kΩ; load 680 Ω": "notch-finite",
    "source 50 Ω; shunt C1 = 10 µF + L1 = 10 nH + R1 = 22 mΩ; load 50 Ω": "notch-finite",
    # --- dips that are no notch
    "series (L1 = 10 mH + R1 = 330 Ω) || C1 = 10 nF; load 1 kΩ": "dip",
    "source 1 kΩ; shunt L1 = 10 mH + R1 = 470 Ω + C1 = 1 nF; load 1 kΩ": "dip",
    # --- lag and lead networks, shelves
    "series R1 = 10 kΩ; shunt R2 = 3.3 kΩ + C1 = 100 nF": "lag",
    "series R1 = 10 Ω; shunt C1 = 100 µF + R2 = 2.2 Ω": "lag",
    "series L1 = 10 mH || R1 = 1 kΩ; load 330 Ω": "lag",
    "series R1 = 1 kΩ; shunt R2 = 10 kΩ + C1 = 10 nF": "lag",  # less than 1 dB of it
    "source 1 kΩ; shunt R1 = 470 Ω + C1 = 100 nF; load 10 kΩ": "lag",
    "series R1 = 10 kΩ || C1 = 10 nF; shunt R2 = 2.2 kΩ": "lead",
    "source 600 Ω; shunt L1 = 100 mH + R1 = 68 Ω; load 600 Ω": "lead",
    "source 1 kΩ; series C1 = 1 µF || R1 = 100 kΩ; load 47 kΩ": "lead",
    "series R1 = 9 MΩ || C1 = 22 pF; shunt R2 = 1 MΩ || C2 = 100 pF": "lead",  # a probe, too much
    "source 1 kΩ; shunt R1 = 2.2 kΩ + C1 = 100 nF; shunt R2 = 2.2 kΩ + C2 = 10 nF;"
    "load 1 MΩ": "shelf-down",
    "series R1 = 10 kΩ || (R3 = 4.7 kΩ + C1 = 10 nF) || (R4 = 4.7 kΩ + C2 = 1 nF);"
    "load 2.2 kΩ": "shelf-up",
    # --- lag-lead networks: every zero real, however deep
    "series R1 = 10 kΩ || C1 = 10 nF; shunt R2 = 10 kΩ + C2 = 100 nF": "lag-lead",
    "series R1 = 100 kΩ || C1 = 10 nF; shunt R2 = 1 kΩ + C2 = 10 µF": "lag-lead",
    # --- halfway
    "source 1 kΩ; shunt (L1 = 330 µH + R1 = 330 Ω) || C1 = 100 pF": "pedestal",
    "source 1 kΩ; shunt L1 = 330 µH || (C1 = 100 pF + R1 = 330 Ω)": "pedestal",
    "source 10 kΩ; shunt R1 = 3.3 kΩ + (L1 = 1 mH || C1 = 1 nF)": "rise",
    # --- nothing of the kind
    "series R1 = 1 kΩ || C1 = 1 nF; shunt R2 = 1 kΩ || C2 = 1 nF": "flat",
    "series R1 = 1 kΩ; shunt R2 = 2.2 kΩ; load 10 kΩ": "flat",
}

"""The style of the progress page: the tutor's own colours by day and by night, and on paper."""

from __future__ import annotations

DAY = {
    "ground": "#FBF8F1",
    "raised": "#F6F1E6",
    "line": "#857B6B",
    "text": "#24282B",
    "quiet": "#5A5A54",
    "copper": "#8F4A12",
    "verdigris": "#17614F",
    "brass": "#6B5200",
    "rust": "#A02C1B",
}
DUSK = {
    "ground": "#15181B",
    "raised": "#1A1E22",
    "line": "#6A7480",
    "text": "#E8E3D9",
    "quiet": "#A3A9AD",
    "copper": "#E59A5C",
    "verdigris": "#6FC3B0",
    "brass": "#D9BC5C",
    "rust": "#F08A78",
}
PAPER = {**DAY, "ground": "#FFFFFF", "raised": "#FFFFFF", "text": "#000000", "quiet": "#333333"}


def _inks(inks: dict[str, str]) -> str:
    return ":root{" + "".join(f"--{name}:{ink};" for name, ink in inks.items()) + "}"


_RULES = """
*{box-sizing:border-box}
body{margin:0;background:var(--ground);color:var(--text);
font:16px/1.45 system-ui,"Segoe UI","DejaVu Sans",sans-serif}
main{max-width:60rem;margin:0 auto;padding:2rem 1.25rem 4rem}
h1{font-size:1.7rem;line-height:1.2;margin:0 0 .25rem}
h2{font-size:1.15rem;color:var(--copper);margin:2.25rem 0 .6rem}
p{margin:.3rem 0}
.quiet,caption,th{color:var(--quiet);font-weight:normal}
.figures{display:flex;flex-wrap:wrap;gap:.75rem;margin:1.25rem 0 0;padding:0;list-style:none}
.figures li{background:var(--raised);border-left:4px solid var(--copper);padding:.6rem .9rem;
flex:1 1 11rem}
.figures b{display:block;font-size:1.55rem;line-height:1.2}
.columns{display:grid;grid-template-columns:repeat(auto-fit,minmax(19rem,1fr));gap:0 2.5rem}
ul.plain{margin:0;padding:0;list-style:none}
ul.plain li{display:flex;justify-content:space-between;gap:1rem;padding:.15rem 0;
border-bottom:1px solid color-mix(in srgb,var(--line) 35%,transparent)}
.chart{overflow-x:auto}
svg{display:block;max-width:100%;height:auto}
.chart>svg{min-width:44rem}
svg text{fill:var(--quiet);font:12px system-ui,"Segoe UI","DejaVu Sans",sans-serif}
svg .name{fill:var(--text);font-size:13px}
svg .strong{fill:var(--text);font-weight:bold}
svg .rule{stroke:var(--line);stroke-width:1}
svg .base{fill:color-mix(in srgb,var(--line) 30%,transparent)}
svg .known{fill:var(--verdigris)} svg .due{fill:var(--brass)}
svg .weak{fill:var(--rust)} svg .begun{fill:var(--copper)} svg .new{fill:var(--line)}
svg .exam{fill:var(--brass)} svg .examline{stroke:var(--brass);stroke-width:2}
.legend{display:flex;flex-wrap:wrap;gap:.3rem 1.25rem;margin:.5rem 0 0;padding:0;
list-style:none;color:var(--quiet);font-size:.9rem}
.legend li{display:flex;align-items:center;gap:.4rem}
table{border-collapse:collapse;width:100%;font-size:.95rem}
caption{text-align:left;padding-bottom:.4rem}
th,td{text-align:left;padding:.25rem .6rem .25rem 0;vertical-align:middle;
border-bottom:1px solid color-mix(in srgb,var(--line) 35%,transparent)}
th[scope=row]{color:var(--text)}
#skills th,#skills td{white-space:nowrap}
#skills td:nth-child(8),#skills th:nth-child(8){padding-left:.8rem}
td.n,th.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
.state{white-space:nowrap}
.state::before{content:"";display:inline-block;width:.65em;height:.65em;margin-right:.45em;
background:var(--line)}
.state.known::before{background:var(--verdigris)}
.state.due::before{background:var(--brass);transform:rotate(45deg)}
.state.weak::before{background:var(--rust);border-radius:50%}
.state.begun::before{background:linear-gradient(var(--ground) 45%,var(--copper) 45%);
outline:1px solid var(--copper)}
.hidden{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);
white-space:nowrap}
@media print{
@page{margin:15mm}
body{font-size:10.5pt;-webkit-print-color-adjust:exact;print-color-adjust:exact}
main{max-width:none;padding:0}
section,tr,figure,.figures li{break-inside:avoid}
section.long{break-inside:auto}
h2{break-after:avoid}
thead{display:table-header-group}
table{font-size:8.5pt}
th,td{padding:.12rem .4rem .12rem 0}
h2{margin:1.3rem 0 .4rem}
.figures{gap:.4rem}
.figures li{flex:1 1 8rem;padding:.3rem .6rem}
.figures b{font-size:1.25rem}
.chart{overflow:visible}
.chart>svg{min-width:0;width:100%}
}
"""

STYLE = (
    f"{_inks(DAY)}\n@media (prefers-color-scheme:dark){{{_inks(DUSK)}}}\n"
    f"@media print{{{_inks(PAPER)}}}\n:root{{color-scheme:light dark}}{_RULES}"
)
"""Everything the page's style element holds."""

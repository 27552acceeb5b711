// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/page_parts.hpp"

namespace corefeed::reports {
namespace {

// Colors are Okabe and Ito's eight for color-blind readers (as fills and lines; words take darker shades, so
// that their contrast on white is above 4.5). Everything that a color says, a shape, pattern or word says
// too.
constexpr std::string_view style = R"css(
:root{--ink:#1c1c1c;--soft:#555;--rule:#c9c9c4;--blue:#0072b2;--orange:#e69f00;--red:#d55e00;--green:#009e73;
--deep-green:#00614a;--deep-red:#a33e00;--deep-yellow:#6b5200}
*{box-sizing:border-box}
html{scroll-behavior:auto}
body{margin:0 auto;max-width:68rem;padding:1.5rem clamp(.8rem,3vw,2.5rem) 3rem;background:#fff;color:var(--ink);
font:16px/1.5 "Helvetica Neue",Helvetica,Arial,"Liberation Sans",sans-serif;counter-reset:part}
.skip{position:absolute;left:-99em;padding:.5em 1em;background:#fff;border:2px solid var(--ink)}
.skip:focus{left:1em;top:1em;z-index:9}
a{color:#005580}
:focus-visible{outline:3px solid var(--blue);outline-offset:2px}
.patterns{position:absolute}
.plate{border:1.5px solid var(--ink);outline:1px solid var(--ink);outline-offset:3px;margin:.3rem .3rem 2rem}
.plate .kind{margin:.8rem 1.1rem 0;font-size:.8rem;letter-spacing:.14em;text-transform:uppercase;color:var(--soft)}
h1{margin:.1rem 1.1rem .9rem;font:600 clamp(1.35rem,3.2vw,2rem)/1.2 Charter,"Bitstream Charter",Georgia,"DejaVu Serif",serif}
.plate dl{display:flex;flex-wrap:wrap;margin:0;border-top:1px solid var(--ink)}
.plate dl div{flex:1 1 auto;padding:.35rem 1.1rem .45rem;border-right:1px solid var(--rule);max-width:100%}
.plate dl div:last-child{border-right:0}
dt{font-size:.72rem;letter-spacing:.08em;text-transform:uppercase;color:var(--soft)}
dd{margin:0;font-size:.92rem;overflow-wrap:anywhere}
section{margin:0 0 2.4rem}
h2{margin:2rem 0 .7rem;padding-top:.5rem;border-top:1.5px solid var(--ink);
font:600 1.3rem/1.25 Charter,"Bitstream Charter",Georgia,"DejaVu Serif",serif}
main>section[id]:not(#verdict){counter-increment:part}
main>section:not(#verdict)>h2::before{content:counter(part);display:inline-block;min-width:2.2rem;color:var(--soft);
font-weight:400}
#verdict h2{border:0;padding:0;margin:0 0 .2rem;font-size:1rem;font-weight:400;color:var(--soft)}
h3{margin:1.6rem 0 .3rem;font-size:1.02rem;overflow-wrap:anywhere}
p{max-width:46rem;margin:.4rem 0 .8rem}
.outcome{max-width:none;font:600 clamp(1.2rem,2.6vw,1.7rem)/1.3 Charter,"Bitstream Charter",Georgia,"DejaVu Serif",serif;
border-left:.5rem solid var(--soft);padding:.3rem 0 .3rem .9rem}
.outcome.met{border-color:var(--green)}.outcome.not-met{border-color:var(--red)}
.outcome.too-close{border-color:var(--orange);border-left-style:double}
.outcome .badge{white-space:normal}.outcome svg{width:.8em;height:.8em}
.trouble{color:var(--deep-red)}
nav ol{columns:15rem;margin:.6rem 0 0;padding-left:1.4rem;font-size:.92rem}
.frame{overflow-x:auto;margin:.6rem 0;max-width:100%}
table{border-collapse:collapse;font-size:.88rem;line-height:1.35;font-variant-numeric:tabular-nums}
caption{text-align:left;padding:.2rem 0;font-weight:600;caption-side:top}
th,td{padding:.28rem 1.2rem .28rem 0;text-align:left;vertical-align:top;border-bottom:1px solid var(--rule)}
thead th{border-bottom:1.5px solid var(--ink);font-weight:600;vertical-align:bottom}
tbody th{font-weight:400}
.n{text-align:right;white-space:nowrap}
.what{color:var(--soft);font-size:.92em}
.badge{white-space:nowrap;font-weight:600}
.badge svg{vertical-align:-.06em}
.badge.met{color:var(--deep-green)}.badge.not-met{color:var(--deep-red)}.badge.too-close{color:var(--deep-yellow)}
.badge.unsolved,.badge.note{color:#444}
.tag{white-space:nowrap}.legend .badge{margin-right:1.4em}
.verdict-mark{stroke:none}.verdict-mark.met{fill:var(--green)}.verdict-mark.not-met{fill:var(--red)}
.verdict-mark.too-close{fill:#c08a00}.verdict-mark.unsolved,.verdict-mark.note{fill:#777}
.verdict-mark .sign{fill:none;stroke:#fff;stroke-width:1.7}
figure{margin:.8rem 0 1.4rem;break-inside:avoid}
figcaption{max-width:46rem;font-size:.88rem;color:#3a3a3a}
.frame>svg{display:block}
.pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,28rem),1fr));gap:.4rem 1.6rem}
.pair figure{min-width:0}
pre{overflow-x:auto;padding:.6rem .8rem;border:1px solid var(--rule);border-left:4px solid var(--blue);
font:.84rem/1.6 "DejaVu Sans Mono",Menlo,Consolas,"Liberation Mono",monospace;user-select:all}
code{font-family:"DejaVu Sans Mono",Menlo,Consolas,"Liberation Mono",monospace;font-size:.95em}
.cautions{max-width:46rem;padding-left:1.2rem}.cautions li{margin:.3rem 0}
footer{border-top:1.5px solid var(--ink);font-size:.85rem;color:var(--soft)}
svg text{font:12px "Helvetica Neue",Helvetica,Arial,"Liberation Sans",sans-serif;fill:#2a2a2a}
svg .axis,svg .grid,svg .line,svg .limit:not(text),svg .stream,svg .join,svg .frame{fill:none}
svg .axis{stroke:#333;stroke-width:1.2}svg .grid{stroke:#e2e2de}svg .join{stroke:#777;stroke-dasharray:2 2}
svg .mark{fill:var(--ink);stroke:#fff;stroke-width:1.2}
svg .limit:not(text){stroke:var(--deep-red);stroke-width:1.4;stroke-dasharray:2 3}svg text.limit{fill:var(--deep-red)}
svg text.name,svg text.value,svg text.node{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}
svg .line{stroke-width:2.2}svg .series-1{stroke:var(--blue)}svg .series-2{stroke:var(--red);stroke-dasharray:9 4}
svg .series-3{stroke:var(--green);stroke-dasharray:2 3}svg .series-4{stroke:#333;stroke-dasharray:11 3 2 3}
svg .whole{fill:#4a4a4a}svg .taken{fill:var(--blue)}svg .taken.most{fill:url(#most-stripes);stroke:var(--red)}
svg .gain{fill:url(#gain-stripes);stroke:var(--green)}
svg .larger{fill:var(--blue)}svg .smaller{fill:url(#small-stripes);stroke:#b57d00}
svg .cell{stroke:#888;stroke-width:.7;fill:#fff}svg .cell.met{fill:#e3f3ee}svg .cell.not-met{fill:url(#stripes)}
svg .cell.too-close{fill:url(#dots)}svg .cell.unsolved{fill:url(#cross)}
svg .frame{stroke:var(--ink);stroke-width:2}svg .flag{fill:var(--ink)}svg text.title{font-weight:600}
.network .stream{stroke:#56a5d8;stroke-linejoin:round}.network.liquid .stream{stroke:#c987ae}
.network .stream.reversed{stroke:var(--red);stroke-dasharray:7 3}
.network .stream.backward:not(.reversed){stroke:var(--orange)}
.network .head{fill:#00456b}.network.liquid .head{fill:#7c2f5d}.network .head.reversed{fill:var(--deep-red)}
.network .box{fill:#fff;stroke:#333;stroke-width:1.2}.network .box.core{fill:#fbeed3;stroke-width:2}
.network .box.opening{fill:#eaf3f9}.network .box.fan{fill:#eee}
.network .box.reversed{stroke:var(--deep-red);stroke-dasharray:5 2;stroke-width:2}
.network text.name{font-weight:600;stroke:none}.network text.flow{font-size:11px}.network text.node{font-size:11px;fill:#444}
.network .joint,.network .plenum{fill:#333}.network .fixed{fill:#fff;stroke:#333;stroke-width:2}
.plot{display:none;max-width:100%}
.enhanced>.frame{display:none}.enhanced>.plot{display:block}
.plot .uplot,.plot .u-legend{font:inherit;font-size:12px;line-height:1.4}
.plot .u-legend{text-align:left;padding-left:62px}.plot .u-legend th,.plot .u-legend td{border:0;padding:0 .3rem 0 0}
.plot .u-legend td.u-value{min-width:4.5em}
@media screen and (max-width:40rem){tbody th{min-width:6.5rem}td{min-width:4.2rem}}
@media (min-width:60rem){.frame>svg{max-width:100%;height:auto}}
@media print{
@page{size:A4;margin:14mm 13mm}
html{font-size:9.5pt}body{font-size:1rem;padding:0;max-width:none}
nav,.skip,.enhanced>.plot{display:none}
.enhanced>.frame{display:block}
.frame{overflow:visible}.frame>svg{max-width:100%;height:auto}
.pair{display:block}
table{font-size:8pt}th,td{padding-right:.7rem}
.n{white-space:normal}
thead{display:table-header-group}tr,figure,pre,.plate,.outcome{break-inside:avoid}
h2,h3,caption,section>p:has(+div,+figure,+h3){break-after:avoid}pre{white-space:pre-wrap;overflow-wrap:anywhere}
a{color:inherit;text-decoration:none}
svg,.badge{print-color-adjust:exact;-webkit-print-color-adjust:exact}
}
)css";

}  // namespace

std::string_view page_style() { return style.substr(1); }

}  // namespace corefeed::reports

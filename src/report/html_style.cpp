// The page's style sheet: paper and ink, no script, no network. Meaning never hangs on colour
// alone: verdicts are words, lines have dashes and weights, parts are hatched.

#include "lieflat/report/html.h"

#include "report/html_parts.h"

namespace lieflat {

std::string DrawingStyle() {
  return R"css(
.drawing{display:block;width:100%;height:auto;font-family:Georgia,"DejaVu Serif","Times New Roman",serif}
.drawing text{fill:#1b2526}
.drawing text.b{font-weight:bold}
.drawing text.soft{fill:#4d5757}
.drawing path,.drawing rect,.drawing circle{fill:none;stroke:#1b2526;stroke-width:1;vector-effect:none}
.drawing .ruler{fill:#f3f0e6;stroke:#5b6363;stroke-width:.8}
.drawing .tick{stroke:#5b6363;stroke-width:.7}
.drawing .slab{fill:#cbd3c4;stroke:#5b6a5b;stroke-width:.7}
.drawing .unread{fill:none;stroke:#5b6363;stroke-width:.9;stroke-dasharray:4 3}
.drawing .band{fill:#1b2526;fill-opacity:.3;stroke:none}
.drawing .under{stroke-width:.9}
.drawing .blades{fill:#e6cf96;stroke:#1b2526;stroke-width:1}
.drawing .blades.out{fill:none;stroke-dasharray:2 2}
.drawing .blades.maybe{fill:#e6cf96;fill-opacity:.5;stroke-dasharray:5 2}
.drawing .between{fill:none;stroke-width:.6}
.drawing .limit{stroke:#a3341a;stroke-width:1.1;stroke-dasharray:6 3}
.drawing .bracket{stroke-width:1.2}
.drawing .paper{fill:#fff;stroke:none}
.drawing .faint{opacity:.28;filter:grayscale(1)}
.drawing .grid{stroke:#d9dcd2;stroke-width:.35}
.drawing .fifth{stroke:#c6cabd;stroke-width:.6}
.drawing .outline{stroke-width:1.5;fill:none}
.drawing .contour{stroke-width:.8;stroke-linejoin:round}
.drawing .above{stroke:#8a4a10}
.drawing .below{stroke:#1f5f8f;stroke-dasharray:5 2.5}
.drawing .heavy{stroke-width:1.5}
.drawing .zero{stroke:#1b2526;stroke-width:1.7}
.drawing .doubt{stroke-dasharray:.1 3;stroke-linecap:round;stroke-width:1.2}
.drawing .bend{stroke:#6b2f5c}
.drawing .presses{fill:#1b2526;stroke:#fff;stroke-width:.8}
.drawing .carries{fill:#fff;fill-opacity:.7;stroke-width:1.3}
.drawing .load{fill:#1b2526;fill-opacity:.07;stroke-dasharray:6 2 1.5 2;stroke-width:1.2}
.drawing .hole{fill:#fdfcf8;stroke-width:.7}
.drawing .station{fill:#fff;stroke-width:1.1}
.drawing .read{fill:#1b2526}
.drawing .scale{stroke-width:1.1}
.drawing .part-paper{fill:#fff;fill-opacity:.86;stroke:none}
.drawing .part{stroke-width:1.2}
.drawing .other{stroke-dasharray:5 2}
.drawing .h0{stroke-dasharray:1.5 2}
.drawing .h1{fill:url(#hatch-1)}
.drawing .h2{fill:url(#hatch-2)}
.drawing .h3{fill:url(#hatch-3)}
.drawing .h4{fill:url(#hatch-4);stroke-width:2.4}
.drawing .hold{fill:#cbd3c4;fill-opacity:.75;stroke:none}
.drawing .band90{fill:#1f5f8f;fill-opacity:.14;stroke:none}
.drawing .band50{fill:#1f5f8f;fill-opacity:.22;stroke:none}
.drawing .middle{stroke:#1f5f8f;stroke-width:1.2;stroke-dasharray:6 3}
.drawing .bar{stroke-width:.9}
.drawing .freed{fill:#fff;stroke-width:1.2}
.drawing .damage{stroke:#a3341a;stroke-width:2.2;stroke-linecap:round}
.drawing .fine .damage{stroke-width:.8}
.drawing .damage-number{fill:#fff;stroke:#a3341a;stroke-width:1.6}
.drawing .hatch{stroke:#1b2526;stroke-width:.55}
.drawing .level,.drawing .spot,.drawing .part-name{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}
.drawing .spot{stroke:#fdfcf8}
)css";
}

namespace report {

std::string PageStyle() {
  return R"css(
@page{margin:15mm 14mm 17mm}
*{box-sizing:border-box}
html{background:#fdfcf8;color:#1b2526;-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:2.2rem 2.6rem 3rem;max-width:49.6rem;
font:1rem/1.5 Georgia,"DejaVu Serif","Times New Roman",serif;overflow-wrap:anywhere}
h1{font-size:1.7rem;line-height:1.2;margin:0 0 .15rem}
h2{font-size:1.15rem;line-height:1.3;margin:2.4rem 0 .2rem;break-after:avoid}
h3{font-size:1rem;margin:0}
p{margin:.2rem 0}
.sub,.small,.soft,caption,th{color:#4d5757}
.sub{margin:0 0 1.3rem}
.small,caption{font-size:.86rem;line-height:1.45}
.small{margin:.1rem 0 .8rem;break-after:avoid}
dl{margin:0}
dt,dd{margin:0}
.answers{border-top:2px solid #1b2526;border-bottom:2px solid #1b2526;padding:.2rem 0}
.answers div{display:grid;grid-template-columns:8.2rem minmax(0,1fr);column-gap:1rem;padding:.32rem 0}
.answers div+div{border-top:1px solid #dcded5}
.answers dt{font-weight:bold}
.figures{display:grid;grid-template-columns:1fr 1fr;gap:1.1rem 2.2rem;margin:1.3rem 0 .9rem}
.figure-big{font-size:1.55rem;line-height:1.25}
.figure-big b{font-weight:bold}
.verdict{font-weight:bold}
.over{color:#8f2b13}
.within{color:#1d5f42}
figure{margin:0;break-inside:avoid}
figure.face{max-width:34rem;margin:0 auto .6rem}
.seen{margin:.4rem 0 1.2rem}
.seen img{display:block;width:100%;height:auto;border:1px solid #dcded5;background:#fff}
.face figcaption,.seen figcaption{color:#4d5757;font-size:.86rem;line-height:1.45}
.edge{display:grid;grid-template-columns:minmax(0,1.5fr) minmax(0,1fr);column-gap:1.3rem;align-items:end;padding:.55rem 0}
.edge figcaption{font-size:.9rem;line-height:1.4}
.edge figcaption p{margin:0}
.limit-words{color:#8f2b13}
.sheet{display:grid;grid-template-columns:minmax(0,2.05fr) minmax(0,1fr);column-gap:1.6rem;align-items:start}
.sheet .side{font-size:.9rem;line-height:1.4;padding-top:.9rem}
.title-block div{display:grid;grid-template-columns:4.6rem minmax(0,1fr);column-gap:.6rem;padding:.2rem 0;border-top:1px solid #dcded5}
.title-block dt{color:#4d5757}
.keys{grid-column:1/-1;display:grid;grid-template-columns:repeat(auto-fit,minmax(12.5rem,1fr));gap:.2rem 1.6rem;font-size:.86rem;line-height:1.4}
.legend{list-style:none;margin:.25rem 0 0;padding:0}
.legend li{display:grid;grid-template-columns:2.4rem 1fr;column-gap:.6rem;align-items:center;padding:.12rem 0}
.legend svg{display:block;width:2.4rem;height:auto}
.side h3,.keys h3{font-size:inherit;font-weight:normal;color:#4d5757;margin-top:.8rem}
table{border-collapse:collapse;width:100%;font-size:.9rem;line-height:1.4;margin:1rem 0 .4rem}
caption{text-align:left;padding-bottom:.2rem}
th,td{text-align:left;vertical-align:top;padding:.3rem 1.1rem .3rem 0;border-bottom:1px solid #dcded5}
th{font-weight:normal;border-bottom:1px solid #1b2526}
td:last-child,th:last-child{padding-right:0}
td.n,th.n{text-align:right}
td.n{white-space:nowrap}
tr,.short,.small{break-inside:avoid}
section:has(>.short):not(:has(>figure)){break-inside:avoid}
.whole{white-space:nowrap}
th,td{overflow-wrap:break-word}
td.any{overflow-wrap:anywhere}
ul.plain{margin:.3rem 0;padding-left:1.15rem}
ul.plain li{margin:.15rem 0}
s{color:#4d5757}
footer{margin-top:2.6rem;border-top:1px solid #1b2526;padding-top:.5rem}
@media (max-width:40rem){
body{padding:1.1rem 1rem 2rem;font-size:.97rem}
h1{font-size:1.4rem}
.answers div{grid-template-columns:1fr;padding:.45rem 0}
.figures,.edge,.sheet{grid-template-columns:minmax(0,1fr)}
.edge{padding:.9rem 0}
.edge figcaption{padding-top:.35rem}
.stack,.stack tbody,.stack tr,.stack td{display:block;width:100%}
.stack caption{display:block}
.stack thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.stack tr{padding:.45rem 0;border-bottom:1px solid #dcded5}
.stack td{display:grid;grid-template-columns:8.9rem minmax(0,1fr);column-gap:.6rem;text-align:left;white-space:normal;border:0;padding:.08rem 0}
.stack td::before{content:attr(data-label);color:#4d5757}
.stack td:first-child{font-weight:bold}
.stack td:empty{display:none}
th,td{padding-right:.7rem}
}
@media print{
html{background:#fff;font-size:13.2px}
body{padding:0;max-width:none}
h2{margin-top:1.5rem}
footer{margin-top:1.2rem}
.edge{padding:.15rem 0}
.trend .drawing{width:80%}
.trend figcaption{break-after:auto}
caption,thead{break-after:avoid}
.pressed{grid-template-columns:minmax(0,1fr) minmax(0,1fr)}
th,td{padding-right:.6rem;padding-top:.22rem;padding-bottom:.22rem}
.figures{margin:.9rem 0 .6rem}
.drawing .spot{stroke:#fff}
.drawing .hole{fill:#fff}
}
)css";
}

}  // namespace report
}  // namespace lieflat

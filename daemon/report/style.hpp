#pragma once
/// How the record of a batch looks: on a screen, on a phone, on paper.

#include <string_view>

namespace gyled::report {

inline constexpr std::string_view style = R"css(
:root{--ink:#1d2428;--soft:#5c686f;--rule:#d9dfe2;--measured:#7b8a93;--believed:#0b6b63;--band:#e3efe0;--level:#b3261e;--earlier:#9a7b2f}
*{box-sizing:border-box}
body{font:14px/1.4 system-ui,-apple-system,"Segoe UI",sans-serif;color:var(--ink);margin:0 auto;max-width:1000px;padding:16px}
h1{font-size:24px;margin:0}h2{font-size:15px;margin:18px 0 6px}
header p,footer,small,.more,.legend{color:var(--soft)}header p{margin:2px 0 12px}
.tiles{display:grid;grid-template-columns:repeat(auto-fit,minmax(112px,1fr));gap:8px}
.tile{border:1px solid var(--rule);border-radius:6px;padding:6px 8px;display:flex;flex-direction:column}
.tile span,.tile small{font-size:11px;color:var(--soft)}.tile b{font-size:17px;font-weight:600;white-space:nowrap}
section{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:12px}
th{text-align:left;font-weight:600;color:var(--soft)}
th,td{padding:3px 8px 3px 0;border-bottom:1px solid var(--rule);vertical-align:top}
.story td,.dated td:first-child{white-space:nowrap}.story td:last-child{white-space:normal}
.charts,.beside{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(320px,100%),1fr));gap:10px 16px;margin-top:14px}
.beside{margin-top:4px;align-items:start}
figure{margin:0}figcaption{font-size:12px;font-weight:600}svg{display:block;width:100%;height:auto}
svg text{font:9px system-ui,-apple-system,"Segoe UI",sans-serif;fill:var(--soft)}svg .s{font-size:8px}svg .l{fill:var(--level);font-size:8px}
svg path{fill:none}.grid{stroke:var(--rule);stroke-width:.6}.axis{stroke:var(--soft);stroke-width:.8}
.stage{stroke:var(--soft);stroke-width:.6;stroke-dasharray:2 2}.band{fill:var(--band)}
.level{stroke:var(--level);stroke-width:.8;stroke-dasharray:4 2}
svg .range{stroke:none;opacity:.25}svg .range.measured{fill:var(--measured)}svg .range.believed{fill:var(--believed)}svg .range.earlier{fill:var(--earlier)}
.line{stroke-width:1.1;stroke-linejoin:round}.line.measured{stroke:var(--measured)}.line.believed{stroke:var(--believed);stroke-width:1.5}.line.earlier{stroke:var(--earlier);stroke-dasharray:3 2}
.hand{fill:#fff;stroke:var(--level);stroke-width:1.3}
.legend{font-size:11px;margin:4px 0 0}.legend i{display:inline-block;width:16px;height:8px;margin:0 2px 0 8px;border-top:2px solid}
.legend i.measured{color:var(--measured)}.legend i.believed{color:var(--believed)}.legend i.earlier{color:var(--earlier)}
.legend i.bandkey{background:var(--band);border:0}.legend i.handkey{width:8px;border:1.5px solid var(--level);border-radius:50%}
.pace{margin:0 0 4px;font-weight:600}footer{font-size:11px;margin-top:18px;border-top:1px solid var(--rule);padding-top:6px}
@media (max-width:600px){body{padding:12px}.story th:nth-child(4),.story td:nth-child(4),.story th:nth-child(n+6),.story td:nth-child(n+6){display:none}}
@media print{@page{size:A4;margin:11mm}body{font-size:10px;max-width:none;padding:0}h1{font-size:18px}h2{font-size:11px;margin:9px 0 3px}
header p{margin:0 0 6px}.tile{padding:3px 6px}.tile b{font-size:12px}.tile span,.tile small{font-size:8px}.tiles{grid-template-columns:repeat(7,1fr);gap:5px}
table{font-size:8px}th,td{padding:1.5px 6px 1.5px 0}.charts,.beside{grid-template-columns:1fr 1fr;gap:5px 12px;margin-top:7px}
figcaption{font-size:9px}.legend,footer{font-size:8px}figure,tr{break-inside:avoid}.second{break-before:page}section{overflow:visible}
*{-webkit-print-color-adjust:exact;print-color-adjust:exact}}
)css";

}  // namespace gyled::report

#pragma once

/// The style sheet of the guide: readable on a phone and in the dark; on paper, A4 and Letter, two
/// pages: what to do, then other amounts and the cautions.
namespace blendrisk::render {

inline constexpr const char* k_guide_style = R"css(
:root{--ink:#1c2127;--paper:#ffffff;--soft:#4a525c;--line:#c9ced5;--band:#f1f3f6;--mark:#7a1f1f}
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:46rem;background:var(--paper);color:var(--ink);
font:1rem/1.55 system-ui,sans-serif;overflow-wrap:anywhere}
h1{font-size:1.6rem;line-height:1.25;margin:.2rem 0}
h2{font-size:1.2rem;margin:2rem 0 .5rem;border-bottom:2px solid var(--line);padding-bottom:.2rem}
p{margin:.5rem 0}
ol.steps{padding-left:1.6rem}
ol.steps li{margin:.8rem 0;break-inside:avoid}
.soft{color:var(--soft);font-size:.92rem}
strong.amount{white-space:nowrap}
div.warn ul{margin:.4rem 0;padding-left:1.3rem}
.warn{border-left:.35rem solid var(--mark);background:var(--band);padding:.6rem .9rem;break-inside:avoid}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
caption{text-align:left;font-weight:600;padding:.3rem 0}
th,td{border:1px solid var(--line);padding:.35rem .4rem;text-align:right;vertical-align:top}
thead th{background:var(--band)}
th[scope=row]{background:var(--band)}
table.assumed th,table.assumed td{text-align:left}
table.amounts{font-size:.95rem}
table.amounts td,table.waiting th,table.waiting td{overflow-wrap:normal}
table.amounts data,table.amounts tbody th,table.waiting data{white-space:nowrap}
tr{break-inside:avoid}
thead{display:table-header-group}
figure{margin:1rem 0;break-inside:avoid}
figure img{display:block;width:100%;height:auto;background:#ffffff;border:1px solid var(--line)}
figcaption{color:var(--soft);font-size:.92rem}
pre{white-space:pre-wrap;background:var(--band);padding:.7rem;font-size:.85rem;line-height:1.4}
summary{cursor:pointer;font-weight:600;padding:.4rem 0}
@media (max-width:30rem){body{padding:.7rem}table,table.amounts{font-size:.82rem}th,td{padding:.25rem .18rem}}
@media (prefers-color-scheme:dark){:root{--ink:#e8eaed;--paper:#15181c;--soft:#b6bdc6;--line:#4a525c;
--band:#22272e;--mark:#e08a7a}}
@media print{:root{--ink:#000000;--paper:#ffffff;--soft:#333333;--line:#999999;--band:#f1f3f6;--mark:#7a1f1f}
@page{margin:14mm}
body{max-width:none;padding:0;font-size:10pt;line-height:1.4}h1{font-size:15pt}h2{font-size:12pt;margin:.8rem 0 .3rem;break-after:avoid}
ol.steps li{margin:.4rem 0}th,td{padding:.2rem .35rem}
.live,[aria-labelledby=risk],[aria-labelledby=line],[aria-labelledby=assumed],[aria-labelledby=again]{display:none!important}
[aria-labelledby=amounts],[aria-labelledby=landed],
[aria-labelledby=steps]+[aria-labelledby=risk]~[aria-labelledby=cautions]{break-before:page}}
)css";

}  // namespace blendrisk::render

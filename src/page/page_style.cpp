// The look of a page: headings in a column of their own beside the text, where there is room; rules instead
// of boxes. Colours are those of the pictures; a word always says what a colour says.
#include <array>

#include <fmt/format.h>

#include "draw/svg.h"
#include "page/page_parts.h"

namespace settle::page {
namespace {

using draw::Hue;

struct NamedHue {
  std::string_view name;
  Hue hue;
};
constexpr std::array<NamedHue, 7> hues = {{{"paper", Hue::paper},
                                           {"panel", Hue::panel},
                                           {"ink", Hue::ink},
                                           {"faint", Hue::faint},
                                           {"blue", Hue::blue},
                                           {"orange", Hue::orange},
                                           {"alarm", Hue::vermillion}}};

std::string variables(bool dark) {
  std::string text = ":root{";
  for (const NamedHue& named : hues)
    text += fmt::format("--{}:{};", named.name, draw::shade_of(named.hue, dark));
  return text + "}\n";
}

constexpr std::string_view common = R"(*{box-sizing:border-box}
html{background:var(--paper);color:var(--ink);font:17px/1.5 Charter,'Bitstream Charter',Georgia,'DejaVu Serif',serif}
body{max-width:72rem;margin:0 auto;padding:2.5rem 1.5rem 3rem}
h1,h2,h3,h4,nav,table,caption,figcaption,footer,.remarks b{font-family:Helvetica,Arial,'Liberation Sans',sans-serif}
h1{font-size:2.2rem;line-height:1.15;margin:0;overflow-wrap:anywhere}
header p{font-size:1.15rem;margin:.4rem 0 1.4rem}
h2{font-size:1.15rem;line-height:1.3;margin:0 0 .9rem}
h2 span{color:var(--faint);font-weight:normal;margin-right:.35rem}
h3{font-size:1rem;margin:1.8rem 0 .5rem}
h4{font-size:.9rem;margin:1.2rem 0 .4rem}
.body>:first-child{margin-top:0}
p{margin:0 0 .8rem;max-width:40rem;overflow-wrap:break-word}
nav ol{list-style:none;display:flex;flex-wrap:wrap;gap:.2rem 1.4rem;margin:0 0 2rem;padding:0;font-size:.9rem;counter-reset:part}
nav li{counter-increment:part}
nav li::before{content:counter(part) ' ';color:var(--faint)}
a{color:var(--blue);text-underline-offset:.2em}
section{border-top:3px solid var(--ink);padding-top:.8rem;margin-bottom:2.6rem}
.wide{overflow-x:auto;margin:0 0 1rem}
.wide:focus-visible,a:focus-visible{outline:3px solid var(--orange);outline-offset:2px}
figure{margin:0 0 1rem}
figure .wide{margin:0}
figcaption,caption{font-size:.8rem;color:var(--faint);text-align:left;padding:.2rem 0 .4rem}
caption{white-space:nowrap}
.picture svg{display:block;max-width:100%;height:auto}
table{border-collapse:collapse;font-size:.85rem;line-height:1.35;font-variant-numeric:tabular-nums}
th,td{text-align:left;vertical-align:top;padding:.28rem .9rem .28rem 0;border-bottom:1px solid var(--faint)}
thead th{border-bottom:2px solid var(--ink);vertical-align:bottom}
tbody th{font-weight:600}
.right{text-align:right;white-space:nowrap}
.centre{text-align:center;padding-left:.5rem;padding-right:.5rem}
.ruled{border-left:2px solid var(--ink);padding-left:.9rem}
ul{margin:0 0 1rem;padding-left:1.1rem;max-width:46rem}
li{margin:0 0 .25rem;overflow-wrap:break-word}
.formulas{list-style:none;padding-left:1rem;border-left:2px solid var(--faint);font:.95rem/1.6 'DejaVu Sans Mono',Menlo,Consolas,monospace}
.formulas li{white-space:pre-wrap}
.ticks{list-style:none;padding:0;columns:17rem 3;column-gap:2rem;max-width:none;font-size:.92rem}
.ticks li{padding-left:1.6rem;position:relative;break-inside:avoid}
.ticks li::before{content:'';position:absolute;left:0;top:.22em;width:.95em;height:.95em;border:1.5px solid var(--ink)}
.remarks{list-style:none;padding:0}
.remarks li{border-left:4px solid var(--faint);padding-left:.8rem;margin-bottom:.7rem}
.remarks b{font-size:.85rem;margin-right:.3rem}
.remarks .warning,.remarks .incomplete{border-left-color:var(--orange);border-left-style:double;border-left-width:6px}
.remarks .error,.remarks .failed{border-left-color:var(--alarm);border-left-width:6px}
footer{border-top:1px solid var(--faint);padding-top:.6rem;font-size:.8rem;color:var(--faint)}
)";

constexpr std::string_view roomy = R"(@media screen and (min-width:60rem){
section{display:grid;grid-template-columns:11rem minmax(0,1fr);column-gap:2rem}
h2{position:sticky;top:1rem;align-self:start}
}
)";

constexpr std::string_view narrow = R"(@media screen and (max-width:34rem){
html{font-size:16px}
body{padding:1.2rem 1rem 2rem}
h1{font-size:1.7rem}
}
)";

constexpr std::string_view paper = R"(@page{size:A4;margin:17mm 16mm 18mm}
@media print{
html{font-size:10.5pt;background:#fff}
body{max-width:none;padding:0}
nav{display:none}
section{margin-bottom:1.6rem}
h1,h2,h3,h4,caption{break-after:avoid}
tr,li,figure,.whole{break-inside:avoid}
thead{display:table-header-group}
p{orphans:3;widows:3;max-width:none}
ul{max-width:none}
.wide{overflow:visible}
.picture{min-width:0!important}
.picture svg{max-height:225mm;margin:0 auto}
figcaption{break-before:avoid}
table{max-width:100%}
th,td{overflow-wrap:anywhere}
.ticks{columns:2}
a{color:inherit;text-decoration:none}
}
)";

}  // namespace

std::string page_style() {
  return fmt::format("{}@media screen and (prefers-color-scheme:dark){{\n{}}}\n{}{}{}{}", variables(false),
                     variables(true), common, roomy, narrow, paper);
}

}  // namespace settle::page

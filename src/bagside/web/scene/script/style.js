// How the picture's own parts look; colours come from the sheet's tokens.

const CSS = `
.bg-mesh{position:relative;display:flex;flex-direction:column;min-height:0;width:100%;height:100%}
.bg-stage{position:relative;flex:1 1 auto;min-height:120px;touch-action:none;cursor:grab;overflow:hidden;outline-offset:-6px}
.bg-stage.bg-turning{cursor:grabbing}.bg-stage.bg-picking{cursor:crosshair}
.bg-stage:focus-visible{outline:3px solid var(--tape,#f8c800);outline-offset:-6px;box-shadow:inset 0 0 0 3px var(--ink,#10191f),inset 0 0 0 8px var(--ink,#10191f)}
.bg-stage canvas{position:absolute;inset:0;width:100%;height:100%;display:block}
.bg-over{position:absolute;inset:0;width:100%;height:100%;pointer-events:none;overflow:hidden}
.bg-over text.bg-read{font:13px B612,"DejaVu Sans",sans-serif;fill:#10191f;stroke:#f4f7f6;stroke-width:4px;stroke-linejoin:round;paint-order:stroke}
.bg-over text.bg-read .bg-value{font-weight:700;font-size:16px}
.bg-over text.bg-iso{font:11px B612,"DejaVu Sans",sans-serif;stroke:#f4f7f6;stroke-width:3px;stroke-linejoin:round;paint-order:stroke}
.bg-over text:not(.halo){fill:#10191f}.bg-over text.halo{fill:#f4f7f6}
.bg-leader{stroke:#10191f;stroke-width:1;fill:none}.bg-leader-halo{stroke:#f4f7f6;stroke-width:3;fill:none}
.bg-mesh.bg-narrow{height:auto}.bg-mesh.bg-narrow .bg-stage{flex:none;height:min(78vw,64vh)}
.bg-under{position:relative;flex:none;display:flex;flex-wrap:wrap;gap:4px 24px;align-items:flex-end;min-height:0}
.bg-scale{display:block;overflow:visible}.bg-scale text{font:12px B612,"DejaVu Sans",sans-serif;fill:var(--ink,#10191f)}
.bg-scale text.bg-q{fill:var(--ink2,#46535b)}.bg-band{stroke:var(--edge,#75838b);stroke-width:.6}
.bg-limit{stroke:var(--ink,#10191f);stroke-width:2.6}
.bg-pointer{fill:var(--tape,#f8c800);stroke:var(--ink,#10191f);stroke-width:1.2}
.bg-keys{margin:0;font-size:12px;line-height:17px;color:var(--ink2,#46535b);background:var(--paper,#f4f7f6);display:none;position:absolute;left:0;right:0;bottom:100%}
.bg-stage:focus-visible~.bg-under .bg-keys{display:block}
.bg-sr{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
.bg-handle{position:absolute;left:0;top:0;width:44px;height:44px;min-height:0;margin:-22px 0 0 -22px;padding:0;border:0;background:none;cursor:grab;touch-action:none}
.bg-handle:focus-visible{outline:none;box-shadow:none}
.bg-handle::before{content:"";position:absolute;left:15px;top:15px;width:14px;height:14px;background:var(--tape,#f8c800);box-shadow:0 0 0 1.6px #10191f,0 0 0 3px #f4f7f6}
.bg-handle.bg-held{cursor:grabbing}.bg-handle.bg-held::before{left:12px;top:12px;width:20px;height:20px}
.bg-handle:focus-visible::before{box-shadow:0 0 0 1.6px #10191f,0 0 0 5px var(--tape,#f8c800),0 0 0 7px var(--ink,#10191f)}
.bg-handle.bg-behind::before{background:repeating-linear-gradient(135deg,var(--tape,#f8c800) 0 2px,#f4f7f6 2px 4px)}
.bg-handle span{position:absolute;left:36px;top:13px;font:13px/18px B612,"DejaVu Sans",sans-serif;font-weight:700;color:#10191f;white-space:nowrap;-webkit-text-stroke:4px #f4f7f6;paint-order:stroke;pointer-events:none}
.bg-notes{display:contents}
.bg-notes>[data-at].bg-placed{position:absolute;left:0;top:0;width:max-content;z-index:1}
.bg-notes.bg-listed{display:block;flex:none;margin-top:8px}
.bg-notes.bg-listed>[data-at]:not(.bg-placed){position:relative;padding-left:36px;margin:0 0 12px;min-height:26px}
.bg-notes.bg-listed>[data-at]:not(.bg-placed)::before{content:attr(data-no);position:absolute;left:0;top:0;width:22px;height:22px;line-height:20px;text-align:center;font-weight:700;font-size:13px;border:1.6px solid var(--ink,#10191f);border-radius:50%}
.bg-notes>[data-hidden]{color:var(--ink2,#46535b)}
.bg-said{margin:8px 0;font-weight:700}
.bg-still svg{max-width:100%;height:auto}
@media (prefers-reduced-motion:no-preference){.bg-handle::before{transition:width .12s,height .12s,left .12s,top .12s}}
.bg-print{display:none}
@media print{.bg-mesh{--paper:#fff;--ink:#000;--ink2:#000;--edge:#000;height:auto!important}.bg-mesh>.bg-notes,.bg-scale text{color:#000}.bg-keys,.bg-handle,.bg-mesh>.bg-stage{display:none!important}
.bg-over.bg-print{display:block;position:static;width:100%;height:auto;max-height:14cm;break-inside:avoid}.bg-notes [data-at]{break-inside:avoid}}
`;

let dressed = false;

export function dress() {
  if (dressed) return;
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(CSS);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  dressed = true;
}

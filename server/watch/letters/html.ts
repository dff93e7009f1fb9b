/**
 * A letter as HTML for mail programs: styles on each element because many drop the rest, a style block for dark schemes
 * alone, no script, nothing loaded from anywhere. Everything that is not a tag goes through `text`.
 */
import { escaped } from '../../people/letters.ts'
import type { LetterParts } from './parts.ts'

const FONT = "font-family:'Encode Sans',system-ui,-apple-system,'Segoe UI',Roboto,Helvetica,Arial,sans-serif"
const INK = 'color:#16233b'
const INK2 = 'color:#4c566b'

const text = (plain: string): string => escaped(plain.replace(/[\0-\x08\x0b-\x1f\x7f]/g, ' '))

/** Only our own pages and telephones are linked to. */
const href = (url: string): string => (/^(https?|tel):/.test(url) ? text(url) : '#')

const DARK = `:root{color-scheme:light dark;supported-color-schemes:light dark}
@media (prefers-color-scheme:dark){
.paper{background:#10151d!important}.sheet{background:#171d27!important}
.ink{color:#eae4d6!important}.ink2{color:#abb1bb!important}.rust{color:#ee946d!important;border-color:#ee946d!important}
.rule{border-color:#363e4b!important}.care{border-color:#ee946d!important}.link{color:#78bce8!important}
.first{background:#eae4d6!important;color:#10151d!important;border-color:#eae4d6!important}
.next{color:#eae4d6!important;border-color:#abb1bb!important}}`

const p = (plain: string, style = `${INK};margin:0 0 8px`, css = 'ink'): string =>
  `<p class="${css}" style="${style};font-size:17px;line-height:25px">${text(plain)}</p>`
const head = (plain: string): string =>
  `<h2 class="ink" style="${INK};font-size:17px;line-height:24px;font-weight:640;margin:24px 0 4px">${text(plain)}</h2>`

/** @param subject for the title of the page that some programs show */
export function html(parts: LetterParts, subject: string): string {
  const { house, headline, happened, urgency, steps, cautions, weDo, call, picture, rows, links, note, foot, stop } =
    parts
  const body = [
    `<p class="ink2" style="${INK2};font-size:14px;line-height:20px;margin:0 0 14px">${text(house)}</p>`,
    `<h1 class="ink" style="${INK};font-size:26px;line-height:31px;font-weight:560;margin:0 0 14px">${text(headline)}</h1>`,
    ...happened.map((line) => p(line)),
    ...(urgency === null ? [] : [head('How urgent'), p(urgency)]),
    ...(steps.length === 0 ? [] : [head('What to do now'), list(steps)]),
    ...(cautions.length === 0 ? [] : [care(cautions)]),
    ...(weDo === null ? [] : [head('What we do'), p(weDo)]),
    ...(call === '' ? [] : [head('Whom to call'), callLine(call)]),
    ...(rows === null ? [] : [head(rows.head), table(rows.rows)]),
    ...(picture === null ? [] : [figure(picture)]),
    ...(links.length === 0 ? [] : [`<div style="margin:24px 0 0">${links.map(button).join('')}</div>`]),
    ...(note === null ? [] : [small(text(note))]),
    `<div class="rule" style="border-top:1px solid #d3cab8;margin:24px 0 0;padding:14px 0 0">${[
      ...foot.map((line) => small(text(line))),
      ...(stop === null
        ? []
        : [small(`<a class="link" href="${href(stop.url)}" style="color:#1b679b">${text(stop.label)}</a>`)]),
    ].join('')}</div>`,
  ].join('\n')
  return `<!doctype html>
<html lang="en-US"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta name="color-scheme" content="light dark"><meta name="supported-color-schemes" content="light dark">
<title>${text(subject)}</title><style>${DARK}</style></head>
<body class="paper" style="margin:0;padding:0;background:#f6f2e9;${FONT};overflow-wrap:break-word;-webkit-text-size-adjust:100%">
<div class="sheet" style="max-width:600px;margin:0 auto;background:#fcfaf5;padding:28px 20px">
${body}
</div></body></html>
`
}

const list = (steps: readonly string[]): string =>
  `<ol class="ink" style="${INK};font-size:17px;line-height:25px;margin:0;padding:0 0 0 26px">${steps
    .map((step) => `<li style="margin:0 0 6px;padding:0 0 0 4px">${text(step)}</li>`)
    .join('')}</ol>`

const care = (lines: readonly string[]): string =>
  `<div class="care" style="border-left:3px solid #a13d1b;margin:14px 0 0;padding:0 0 0 12px">${lines
    .map((line) => `<p class="ink" style="${INK};font-size:16px;line-height:23px;margin:0 0 6px">${text(line)}</p>`)
    .join('')}</div>`

/** A number that a phone can call. */
function callLine(call: string): string {
  const linked = text(call).replace(/\+?[\d(][\d\s().-]{6,}\d/, (number) => {
    const digits = number.replace(/[^\d+]/g, '')
    return `<a class="link" href="tel:${digits}" style="color:#1b679b;font-weight:640">${number}</a>`
  })
  return `<p class="ink" style="${INK};font-size:17px;line-height:25px;margin:0">${linked}</p>`
}

const table = (rows: readonly [string, string][]): string =>
  `<table role="presentation" style="border-collapse:collapse;width:100%">${rows
    .map(
      ([name, value]) =>
        `<tr><td class="ink rule" style="${INK};border-bottom:1px solid #d3cab8;padding:8px 14px 8px 0;font-size:16px;line-height:22px;vertical-align:top">${text(name)}</td><td class="ink rule" style="${INK};border-bottom:1px solid #d3cab8;padding:8px 0;font-size:16px;line-height:22px;vertical-align:top">${text(value)}</td></tr>`,
    )
    .join('')}</table>`

const figure = ({ caption, alt }: { caption: string; alt: string }): string =>
  `<div style="margin:24px 0 0"><img src="cid:picture" alt="${text(alt)}" width="340" style="display:block;width:340px;max-width:100%;height:auto;border:0">${small(text(caption))}</div>`

const button = ({ label, url, first }: { label: string; url: string; first?: true }): string =>
  `<a class="${first ? 'first' : 'next'}" href="${href(url)}" style="display:inline-block;box-sizing:border-box;margin:0 10px 10px 0;padding:11px 18px;font-size:16px;line-height:22px;font-weight:560;text-decoration:none;border:1.5px solid ${first ? '#16233b;background:#16233b;color:#f6f2e9' : '#4c566b;color:#16233b'};border-radius:2px">${text(label)}</a>`

const small = (inner: string): string =>
  `<p class="ink2" style="${INK2};font-size:14px;line-height:20px;margin:6px 0 0">${inner}</p>`

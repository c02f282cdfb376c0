/** What charts share: the sheet they are drawn on, its colours, text, and axes. Scales and paths are d3's. */
import type { ScaleLinear } from 'd3-scale'
import { html } from 'hono/html'
import { linesOf } from '../../render/lines.ts'

export interface Drawing {
  /** In pixels, as the reader's screen has them; from 280. */
  readonly width: number
  /** `auto` follows the reader's system. */
  readonly theme: 'auto' | 'light' | 'dark'
}

export const LIGHT =
  '--ink:#1c2733;--soft:#5b6b7a;--grid:#dbe2e8;--paper:#ffffff;--main:#1769aa;--band:#9cc4e4;--wide:#d3e5f3;--second:#b3541e'
export const DARK =
  '--ink:#e6edf3;--soft:#9fb0c0;--grid:#303b47;--paper:#12181f;--main:#6cb6f0;--band:#2f6690;--wide:#1d3c55;--second:#f0a070'

const themeOf = (theme: Drawing['theme']): string => {
  if (theme === 'dark') return `svg{${DARK}}`
  const light = `svg{${LIGHT}}`
  return theme === 'light' ? light : `${light}@media(prefers-color-scheme:dark){svg{${DARK}}}`
}

const RULES = `text{font:12px system-ui,sans-serif;fill:var(--ink)}
.title{font-size:14px;font-weight:600}.soft{fill:var(--soft)}.end{text-anchor:end}.middle{text-anchor:middle}
.paper{fill:var(--paper)}.grid{stroke:var(--grid)}.axis{stroke:var(--soft)}
.bar{fill:var(--main)}.line{fill:none;stroke:var(--main);stroke-width:2}.second{fill:none;stroke:var(--second);stroke-width:2;stroke-dasharray:5 3}
.dot{fill:var(--main)}.dot2{fill:var(--second)}.band{fill:var(--band)}.wide{fill:var(--wide)}.interval{stroke:var(--ink);stroke-width:1.5}
.interval2{stroke:var(--second);stroke-width:1.5}.mark{stroke:var(--ink);stroke-width:1.5}.rim{stroke:var(--paper);stroke-width:4}`

export const escaped = (text: string): string => String(html`${text}`)

export const text = (x: number, y: number, content: string, kind = ''): string =>
  `<text x="${round(x)}" y="${round(y)}"${kind && ` class="${kind}"`}>${escaped(content)}</text>`

export const line = (from: readonly [number, number], to: readonly [number, number], kind: string): string =>
  `<line x1="${round(from[0])}" y1="${round(from[1])}" x2="${round(to[0])}" y2="${round(to[1])}" class="${kind}"/>`

export const round = (value: number): number => Math.round(value * 10) / 10

/** A mean character of 12 px is a little over half as wide as high, in the widest of the usual fonts; one of a title is bold and larger. */
const CHARACTER = 6.7
const TITLE_CHARACTER = 8.9
const MARGIN = 12
/** Height of a line of text. */
const LINE = 15

/** Words in lines that fit between the margins. */
const wrapped = (content: string, width: number, character = CHARACTER): string[] =>
  linesOf(content, Math.max(10, Math.floor((width - 2 * MARGIN) / character)))

export interface Panel {
  readonly svg: string
  readonly height: number
}

/** Name of a panel and words under it, in as many lines as they need; `more` is how far that goes beyond one line of each. */
export function heading(name: string, words: string, width: number): { readonly svg: string; readonly more: number } {
  const names = wrapped(name, width, TITLE_CHARACTER)
  const lines = words === '' ? [] : wrapped(words, width)
  const first = 14 + LINE * (names.length - 1)
  return {
    svg: [
      ...names.map((line, n) => text(MARGIN, 14 + n * LINE, line, 'title')),
      ...lines.map((line, n) => text(MARGIN, first + 16 + n * LINE, line, 'soft')),
    ].join(''),
    more: LINE * (names.length - 1 + Math.max(0, lines.length - 1)),
  }
}

/** Panels one below the other, with title, and words below; a reader who can't see it gets `description`. */
export function page(
  { width, theme }: Drawing,
  title: string,
  description: string,
  panels: readonly Panel[],
  notes: readonly string[],
): string {
  let y = 12
  const parts: string[] = []
  for (const words of wrapped(title, width, TITLE_CHARACTER)) {
    y += 16
    parts.push(text(12, y, words, 'title'))
  }
  y += 10
  for (const panel of panels) {
    parts.push(`<g transform="translate(0 ${round(y)})">${panel.svg}</g>`)
    y += panel.height
  }
  for (const words of notes.flatMap((note) => wrapped(note, width))) {
    y += LINE
    parts.push(text(12, y, words, 'soft'))
  }
  const height = Math.ceil(y + 12)
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" aria-labelledby="t d"><title id="t">${escaped(title)}</title><desc id="d">${escaped(description)}</desc><style>${themeOf(theme)}${RULES}</style><rect width="${width}" height="${height}" class="paper"/>${parts.join('')}</svg>`
}

/** Axis of values at the left, with grid lines to the right. */
export function valueAxis(
  scale: ScaleLinear<number, number>,
  [left, right]: readonly [number, number],
  name: string,
  tell: (value: number) => string,
): string {
  const marks = scale.ticks(5).map((value) => {
    const y = scale(value)
    return line([left, y], [right, y], 'grid') + text(left - 6, y + 4, tell(value), 'soft end')
  })
  const top = Math.min(...scale.range())
  return `${marks.join('')}${text(12, top - 10, name, 'soft')}`
}

/** How the demo writes: a few colours where the terminal has them, columns, bars, paragraphs. */
import { styleText } from 'node:util'

type Style = Parameters<typeof styleText>[0]

const styled = (style: Style) => (text: string) => styleText(style, text, { stream: process.stdout })
export const bold = styled('bold')
export const dim = styled('dim')
export const good = styled('green')
export const warn = styled('yellow')
export const bad = styled('red')
export const accent = styled('cyan')

export const say = (line = ''): void => {
  process.stdout.write(`${line}\n`)
}

/** Heading of an act. */
export function act(title: string): void {
  say()
  say(bold(title))
  say(dim('─'.repeat(78)))
}

/** A bar of `share` (0 to 1) of the width, to an eighth of a character. */
export function bar(share: number, width: number): string {
  const eighths = Math.round(Math.max(0, Math.min(1, share)) * width * 8)
  const rest = eighths % 8
  return '█'.repeat(eighths >> 3) + (rest > 0 ? '▏▎▍▌▋▊▉'.charAt(rest - 1) : '')
}

/** Text broken at spaces, indented. */
export function paragraph(text: string, indent = 2, width = 78): string {
  const lines: string[] = []
  let line = ''
  for (const word of text.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > width - indent) {
      lines.push(line)
      line = word
    } else line = line === '' ? word : `${line} ${word}`
  }
  lines.push(line)
  return lines.map((one) => ' '.repeat(indent) + one).join('\n')
}

/** A number as people write it: grouped thousands, fixed decimals. */
export const figure = (value: number, decimals: number): string =>
  value.toLocaleString('en-US', { minimumFractionDigits: decimals, maximumFractionDigits: decimals })

/** At most `digits` significant digits, without trailing zeros. */
export const brief = (value: number, digits = 5): string => String(Number(value.toPrecision(digits)))

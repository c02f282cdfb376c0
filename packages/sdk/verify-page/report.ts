/** A report about a bundle, as elements of the page. Whatever the file says goes in as text. */
import type { BundleProblem, BundleReport, BundleSignature, VerifiedTest } from '../src/verify.ts'

/** Longer lists are cut, and say so. */
const TESTS_MAX = 200
const PROBLEMS_MAX = 100

function make<K extends keyof HTMLElementTagNameMap>(
  name: K,
  content: string | readonly Node[],
  className?: string | undefined,
): HTMLElementTagNameMap[K] {
  const made = document.createElement(name)
  if (typeof content === 'string') made.textContent = content
  else made.append(...content)
  if (className !== undefined) made.className = className
  return made
}

const whole = (n: number): string => n.toLocaleString('en')
const time = (at: string): string => at.replace('T', ' ').replace(/(:\d\d)\.\d+Z$/, '$1 UTC')

function signature({ name, by, at }: BundleSignature): string {
  if (by === 'unknown') return `${name}: no key given`
  return at === undefined ? name : `${name}, ${time(at)}`
}

function facts(file: string, { checkpoint, continues, counts }: BundleReport): HTMLElement {
  const rows: [string, string][] = [['File', `${file}, ${whole(counts.bytes)} bytes`]]
  if (checkpoint !== undefined) {
    rows.push(['Log', `${checkpoint.origin}, ${whole(checkpoint.size)} entries`])
    rows.push(['Root', checkpoint.root])
    const titles = { log: 'Signed by', witness: 'Witness', unknown: 'Not checked' } as const
    for (const one of checkpoint.signatures) rows.push([titles[one.by], signature(one)])
  }
  if (continues !== undefined) rows.push(['Continues', `the log of ${whole(continues)} entries`])
  for (const [kind, n] of Object.entries(counts.kinds)) rows.push([`Entries: ${kind}`, whole(n)])
  rows.push([
    'Evaluated again',
    `${whole(counts.replayed)} of ${whole(counts.tests)}, ${whole(counts.identical)} identical`,
  ])
  return make(
    'dl',
    rows.flatMap(([name, text]) => [make('dt', name), make('dd', text)]),
  )
}

function problem({ code, message, line, test }: BundleProblem): HTMLElement {
  const place = [line === undefined ? [] : `line ${whole(line)}`, test ?? []].flat().join(', ')
  const title = [make('code', code), document.createTextNode(place === '' ? '' : ` · ${place}`)]
  return make('li', [make('div', title), make('p', message)])
}

const COLUMNS = ['Test', 'Received', 'Edition', 'Evaluated again']
const REPLAY = { identical: 'identical', differs: 'differs', 'not-done': 'not done' } as const

function testRow({ id, at, edition, replay, ok }: VerifiedTest): HTMLElement {
  const cells = [id, time(at), edition, `${REPLAY[replay]}${ok ? '' : ' · not verified, see above'}`]
  return make(
    'tr',
    cells.map((text, n) => {
      const cell = make('td', text, n === 0 ? 'id' : undefined)
      // On a narrow screen the heads are out of sight, and the title stands before each cell.
      cell.dataset.title = COLUMNS[n]!
      return cell
    }),
  )
}

function testTable(tests: readonly VerifiedTest[]): HTMLElement {
  const head = COLUMNS.map((title) => {
    const cell = make('th', title)
    cell.scope = 'col'
    return cell
  })
  return make('table', [make('thead', [make('tr', head)]), make('tbody', tests.slice(0, TESTS_MAX).map(testRow))])
}

function verdict({ ok, problems, counts }: BundleReport): string {
  if (!ok) return `✗ Not verified: ${whole(problems.length)} ${problems.length === 1 ? 'problem' : 'problems'}.`
  if (counts.tests === 0) return '✓ Verified: the checkpoint is signed by the log, and the entries are in it.'
  const received = '✓ Verified: signed by the log, in the log, and as received'
  const repeated = counts.replayed === counts.tests
  return repeated
    ? `${received}; the same calculation gives the same evaluation.`
    : `${received}. The calculation was not repeated.`
}

/** The verdict first, then what is wrong, then what was verified. */
export function reportElements(file: string, report: BundleReport): HTMLElement[] {
  const { ok, problems, tests } = report
  const elements: HTMLElement[] = [make('p', verdict(report), `verdict ${ok ? 'good' : 'bad'}`)]
  if (problems.length > 0) {
    elements.push(make('h2', 'What is wrong'), make('ul', problems.slice(0, PROBLEMS_MAX).map(problem), 'problems'))
    if (problems.length > PROBLEMS_MAX) elements.push(make('p', `And ${whole(problems.length - PROBLEMS_MAX)} more.`))
  }
  elements.push(make('h2', 'What was looked at'), facts(file, report))
  if (tests.length > 0) {
    elements.push(make('h2', 'Tests'), testTable(tests))
    if (tests.length > TESTS_MAX) elements.push(make('p', `And ${whole(tests.length - TESTS_MAX)} more.`))
  }
  return elements
}

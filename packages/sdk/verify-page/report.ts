/** A report about a bundle, as elements of the page. Whatever the file says goes in as text. */
import {
  detailsInWords,
  entriesInWords,
  isToBeMinded,
  laterInWords,
  reachInWords,
  SIGNATURE_TITLES,
  signatureInWords,
  time,
  verdictInWords,
  whole,
} from '../src/report-words.ts'
import type { BundleProblem, BundleReport, VerifiedTest } from '../src/verify.ts'

/** Longer lists are cut, and say so; of tests, those that there is something to say of come first then. */
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

function facts(file: string, report: BundleReport): HTMLElement {
  const { checkpoint, continues, counts } = report
  const rows: [string, string][] = [['File', `${file}, ${whole(counts.bytes)} bytes`]]
  if (checkpoint !== undefined) {
    rows.push(['Log', `${checkpoint.origin}, ${whole(checkpoint.size)} entries`])
    rows.push(['Root', `${checkpoint.root}, which the checkpoint spells ${checkpoint.rootBase64}`])
    for (const one of checkpoint.signatures) rows.push([SIGNATURE_TITLES[one.by], signatureInWords(one)])
  }
  if (continues !== undefined) rows.push(['Continues', `the log of ${whole(continues)} entries`])
  if (counts.tests + counts.otherEntries > 0) rows.push(['Entries', entriesInWords(report)])
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

const COLUMNS = ['Test', 'Visit', 'Overall plant efficiency', 'Received', 'Edition', 'Evaluated again']
const REPLAY = { identical: 'identical', differs: 'differs', 'not-done': 'not done' } as const

function testRows(test: VerifiedTest): HTMLElement[] {
  const { id, at, edition, replay, ok } = test
  const details = detailsInWords(test)
  const verified = `${REPLAY[replay]}${ok ? '' : ' · not verified, see above'}`
  const cells = [id, details?.visit ?? '', details?.outcome ?? '', time(at), edition, verified]
  const row = make(
    'tr',
    cells.map((text, n) => {
      const cell = make('td', text, n === 0 ? 'id' : undefined)
      // On a narrow screen the heads are out of sight, and the title stands before each cell.
      cell.dataset.title = COLUMNS[n]!
      return cell
    }),
  )
  return [row, ...laterInWords(test).map(laterRow)]
}

function laterRow(text: string): HTMLElement {
  const cell = make('td', text, 'later')
  cell.colSpan = COLUMNS.length
  cell.dataset.title = 'Since then'
  return make('tr', [cell])
}

function testTable(tests: readonly VerifiedTest[]): HTMLElement {
  const head = COLUMNS.map((title) => {
    const cell = make('th', title)
    cell.scope = 'col'
    return cell
  })
  const told =
    tests.length <= TESTS_MAX ? tests : [...tests].sort((a, b) => Number(isToBeMinded(b)) - Number(isToBeMinded(a)))
  const rows = told.slice(0, TESTS_MAX).flatMap(testRows)
  return make('table', [make('thead', [make('tr', head)]), make('tbody', rows)])
}

function verdict(report: BundleReport): HTMLElement {
  const { ok, problems } = report
  if (!ok) {
    const many = `${whole(problems.length)} ${problems.length === 1 ? 'problem' : 'problems'}`
    return make('p', `✗ Not verified: ${many}.`, 'verdict bad')
  }
  const { rest, minded } = verdictInWords(report)
  return make('p', `✓ Verified${rest}`, `verdict ${minded ? 'mind' : 'good'}`)
}

/** The verdict first, then what is wrong, then what was verified, and last how far that reaches. */
export function reportElements(file: string, report: BundleReport): HTMLElement[] {
  const { problems, tests, checkpoint } = report
  const elements: HTMLElement[] = [verdict(report)]
  if (problems.length > 0) {
    elements.push(make('h2', 'What is wrong'), make('ul', problems.slice(0, PROBLEMS_MAX).map(problem), 'problems'))
    if (problems.length > PROBLEMS_MAX) elements.push(make('p', `And ${whole(problems.length - PROBLEMS_MAX)} more.`))
  }
  elements.push(make('h2', 'What was looked at'), facts(file, report))
  if (tests.length > 0) {
    elements.push(make('h2', 'Tests'), testTable(tests))
    if (tests.length > TESTS_MAX) elements.push(make('p', `And ${whole(tests.length - TESTS_MAX)} more.`))
  }
  if (report.ok && checkpoint !== undefined) elements.push(make('p', reachInWords(checkpoint.size), 'reach'))
  return elements
}

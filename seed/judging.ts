/** An act of the demo: what programs make of the tests they have, by the rules in force on each test’s day. */
import { type Judgement, judgeAll, type SeededProgram } from './programs.ts'
import { act, bold, dim, good, paragraph, say, warn } from './screen.ts'

const TESTS_SHOWN = 6
const OUTCOMES = { met: good('met'), 'not-met': warn('not met'), 'not-decidable': dim('something is missing') } as const

export async function judging(baseUrl: string, programs: readonly SeededProgram[]): Promise<void> {
  act('What the programs make of it')
  for (const program of programs) {
    const judged = await judgeAll(baseUrl, program)
    say(
      `  ${bold(program.name)}, ${program.versions} version${program.versions === 1 ? '' : 's'} of its rules, ${judged.length} tests`,
    )
    for (const version of versionsIn(judged)) showVersion(version)
    for (const one of judged.slice(0, TESTS_SHOWN)) showTest(one)
    if (judged.length > TESTS_SHOWN)
      say(
        dim(
          `    and ${judged.length - TESTS_SHOWN} more, each with its rules: GET /v1/programs/${program.id}/tests/{id}/judgement`,
        ),
      )
    say()
  }
  say(
    dim(
      paragraph(
        'Each rule names the facts it used by their place in the sheet, the context or the evaluation. What is missing is told as missing, never as failed. Amounts are before caps.',
        2,
      ),
    ),
  )
}

interface OfVersion {
  readonly version: number | undefined
  readonly judged: readonly Judgement[]
}

function versionsIn(judged: readonly Judgement[]): OfVersion[] {
  const versions = [...new Set(judged.map(({ ruleSet }) => ruleSet?.version))].toSorted((a, b) => (a ?? 0) - (b ?? 0))
  return versions.map((version) => ({ version, judged: judged.filter(({ ruleSet }) => ruleSet?.version === version) }))
}

function showVersion({ version, judged }: OfVersion): void {
  const count = (outcome: Judgement['eligibility']) =>
    judged.filter(({ eligibility }) => eligibility === outcome).length
  const payable = judged.filter((one) => one.payable)
  const cents = payable.reduce((all, { amount }) => all + BigInt(amount?.amount?.replace('.', '') ?? '0'), 0n)
  const money = `${cents / 100n}.${String(cents % 100n).padStart(2, '0')}`
  const name = version === undefined ? 'no version in force' : `version ${version}`
  say(
    `    ${name}: ${judged.length} tests; rules met by ${count('met')}, not met by ${count('not-met')}, something missing for ${count('not-decidable')}; ${payable.length} payable, ${money} in all`,
  )
}

function showTest({ testedOn, ruleSet, soundness, eligibility, amount, rules }: Judgement): void {
  const open = rules
    .filter(({ outcome }) => outcome !== 'met')
    .map(({ rule, because }) => (because === undefined ? rule : `${rule}: ${because}`))
  const sum = amount?.amount === undefined ? '' : `, ${amount.amount} ${amount.currency}`
  say(
    `    ${testedOn}  version ${ruleSet?.version ?? '-'}  ${soundness.replace('-', ' ')}, ${OUTCOMES[eligibility]}${sum}`,
  )
  for (const line of open.slice(0, 2)) say(dim(`                ${line}`))
}

/** An act of the demo: the lists of what needs a person, over the whole basin. */
import type { Liftledger } from '@liftledger/sdk'
import { act, bold, dim, figure, paragraph, say } from './screen.ts'

const ROWS = 4
/** Two years between tests, as a program might ask. */
const INTERVAL_DAYS = 730

const points = (ratio: number): string => figure(100 * ratio, 1)

export async function needing(auditor: Liftledger): Promise<void> {
  act('What needs a person')
  await due(auditor)
  await falling(auditor)
  await lapsing(auditor)
  await levels(auditor)
  say(
    dim(
      paragraph(
        'Each list has a firm’s or a program’s own rows for them: GET /v1/work-lists/…, as JSON or as a table.',
        2,
      ),
    ),
  )
}

async function due(auditor: Liftledger): Promise<void> {
  const page = await auditor.workLists.plantsDue({ intervalDays: INTERVAL_DAYS, limit: ROWS })
  const { intervalPassed, noSoundTest, neverTested, notDue } = page.whole.plantsByReason
  say(
    `  ${bold('Plants due')} after ${INTERVAL_DAYS} days: ${intervalPassed} are, ${noSoundTest} have no sound test, ${neverTested} were never tested; ${notDue} are not due`,
  )
  for (const { plantCode, lastSoundOn, daysOver, because } of page.items)
    say(
      `    ${plantCode.padEnd(10)} ${lastSoundOn === undefined ? because.replaceAll('-', ' ') : `${lastSoundOn}, ${daysOver} days over`}`,
    )
  say()
}

async function falling(auditor: Liftledger): Promise<void> {
  const { items, whole } = await auditor.workLists.plantsFalling({ limit: ROWS })
  const { fitted, falling, byChanceAtMost } = whole.plantsLookedAt
  say(
    `  ${bold('Plants that lose efficiency')} beyond their uncertainty: ${falling} of ${fitted}, of which chance may list ${figure(byChanceAtMost, 0)}`,
  )
  for (const { plantCode, slopePerYear, slopeLow, slopeHigh, tests, firstOn, lastOn } of items)
    say(
      `    ${plantCode.padEnd(10)} ${points(slopePerYear).padStart(6)} points a year, from ${points(slopeLow)} to ${points(slopeHigh)}: ${tests} tests, ${firstOn.slice(0, 4)} to ${lastOn.slice(0, 4)}`,
    )
  say()
}

async function lapsing(auditor: Liftledger): Promise<void> {
  const { items } = await auditor.workLists.lapses({ withinDays: 60, limit: ROWS })
  say(`  ${bold('Papers that lapse')} within 60 days, or have lapsed: the first ${items.length}`)
  for (const { what, code, validUntil, daysLeft, lastUsedOn } of items)
    say(
      `    ${what.padEnd(13)} ${code.padEnd(16)} until ${validUntil}, ${daysLeft < 0 ? `${-daysLeft} days ago` : `in ${daysLeft} days`}${lastUsedOn === undefined ? '' : `; last used ${lastUsedOn}`}`,
    )
  say()
}

async function levels(auditor: Liftledger): Promise<void> {
  const { items, whole } = await auditor.workLists.standingLevels({ limit: 50 })
  const told = items.filter(({ changeMPerYear }) => changeMPerYear !== undefined)
  say(
    `  ${bold('Standing levels')} of the same wells, by region and season: ${told.length} rows, ${whole.withheldRows} withheld for having too few plants or customers`,
  )
  for (const { region, season, wells, changeMPerYear, changeLow, changeHigh, levelsAre } of told
    .toSorted((a, b) => b.wells! - a.wells!)
    .slice(0, ROWS))
    say(
      `    ${region.padEnd(16)} ${season.replaceAll('-', ' ').padEnd(22)} ${figure(changeMPerYear!, 2).padStart(6)} m a year deeper, from ${figure(changeLow!, 2)} to ${figure(changeHigh!, 2)}, ${wells} wells: ${levelsAre!.replace('-', ' ')}`,
    )
}

/** The play goes on: some wells were tested in three springs, and the lists of what needs a person have rows. */
import { readFileSync } from 'node:fs'
import type { Json, Recorder } from './recorder.ts'

const read = (file: string): Json =>
  JSON.parse(readFileSync(new URL(`../seed/${file}`, import.meta.url), 'utf8')) as Json

/** Springs, and how far the wear has come by each: not evenly, as it is. */
const YEARS = [
  ['2024', 0],
  ['2025', 1.2],
  ['2026', 2],
] as const

/** Customer, feet by which the water falls in a year, seconds by which the meter turns faster each year. */
const WELLS = [
  ['C-201', 1.5, 2],
  ['C-201', 2.5, 0],
  ['C-202', 1, 0],
  ['C-202', 3, 1.5],
  ['C-203', 2, 0],
] as const

/** The visit of the seed in another spring, at another well. */
function visit(sheet: Json, plant: string, year: string, deeper: number, faster: number): Json {
  const moved = JSON.parse(JSON.stringify(sheet).replaceAll(/\b2026-(\d\d-\d\d)/g, `${year}-$1`)) as Json & {
    standingLevel: { reading: { value: number }; repeats?: unknown }
    runs: { power: { timings: { elapsed: { value: number } }[] } }[]
  }
  moved.plant = plant
  moved.standingLevel.reading.value = Number((moved.standingLevel.reading.value + deeper).toFixed(1))
  delete moved.standingLevel.repeats
  for (const { elapsed } of moved.runs[0]!.power.timings) elapsed.value = Number((elapsed.value - faster).toFixed(1))
  return moved
}

export async function playWorkLists(recorder: Recorder, firm: string): Promise<void> {
  const sheet = read('field-sheet.json')
  const { equipment } = (read('basin.json') as unknown as { firms: { plants: { equipment: Json }[] }[] }).firms[0]!
    .plants[0]!
  for (const [n, [reference, feet, seconds]] of WELLS.entries()) {
    const code = `AM-${71 + n}`
    const plant = { code, kind: 'well', region: 'Thornlow', reference, equipment }
    await recorder.play('plants.create', 201, { key: firm, body: plant })
    for (const [year, worn] of YEARS) {
      await recorder.play('tests.submit', 201, {
        key: firm,
        body: visit(sheet, code, year, feet * (Number(year) - 2026), seconds * worn),
      })
    }
  }
  await recorder.play('workLists.plantsDue', 200, {
    key: firm,
    query: { intervalDays: 730, withinDays: 800, limit: 3 },
  })
  await recorder.play('workLists.plantsFalling', 200, { key: firm, query: { limit: 3 } })
  await recorder.play('workLists.lapses', 200, { key: firm, query: { withinDays: 365, limit: 3 } })
  await recorder.play('workLists.standingLevels', 200, { key: firm, query: { region: 'Thornlow' } })
}

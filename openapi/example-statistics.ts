/** The play goes on: what the tests of a firm add up to, and what of it is for everybody at the end of the month. */
import type { Recorder } from './recorder.ts'

/** At the end of the year its tests come in, however few they are. */
const MONTH = '2026-12'

export async function playStatistics(
  recorder: Recorder,
  firm: string,
  publish: (month: string) => Promise<void>,
): Promise<void> {
  await recorder.play('statistics.read', 200, { key: firm, query: { groupBy: 'region,year' } })
  await recorder.play('statistics.trends', 200, { key: firm })
  await recorder.play('statistics.listTests', 200, { key: firm, query: { limit: 20 } })
  await recorder.play('statistics.chart', 200, { key: firm, path: { chart: 'histogram' } })
  await publish(MONTH)
  await recorder.play('statistics.listPublications', 200, { query: { limit: 12 } })
  const figures = { query: { figuresOf: 'overall-plant-efficiency' } }
  await recorder.play('statistics.readPublication', 200, { path: { month: MONTH }, ...figures })
  await recorder.play('statistics.readPeers', 200, { key: firm, path: { month: MONTH } })
}

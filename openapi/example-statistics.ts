/** The play goes on: what the tests of a firm add up to. */
import type { Recorder } from './recorder.ts'

export async function playStatistics(recorder: Recorder, firm: string): Promise<void> {
  await recorder.play('statistics.read', 200, { key: firm, query: { groupBy: 'region,year' } })
  await recorder.play('statistics.trends', 200, { key: firm })
  await recorder.play('statistics.listTests', 200, { key: firm, query: { limit: 20 } })
  await recorder.play('statistics.chart', 200, { key: firm, path: { chart: 'histogram' } })
}

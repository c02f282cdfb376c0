/** Two writers, one name or number: told as a conflict, never as a failure. */
import { Problem } from '../http/problem.ts'

/** Runs `work`; where it breaks one of the named unique constraints, throws a `conflict` with its detail instead. */
export async function refusingDuplicates<T>(
  details: Readonly<Record<string, string>>,
  work: () => Promise<T>,
): Promise<T> {
  try {
    return await work()
  } catch (error) {
    const { code, constraint } = error as { code?: unknown; constraint?: unknown }
    const detail = code === '23505' ? details[String(constraint)] : undefined
    if (detail === undefined) throw error
    throw new Problem('conflict', detail)
  }
}

/** `node packages/service/src/main.ts`: the service. The compile cache must be on before anything large is loaded. */
import { enableCompileCache } from 'node:module'
import { fileURLToPath } from 'node:url'

enableCompileCache(fileURLToPath(new URL('../../../.data/compile-cache', import.meta.url)))
const { runService } = await import('./serve.ts')

try {
  await runService()
} catch (error) {
  // A mistake in the settings is told without a stack: its reader is the operator.
  console.error(error instanceof Error && error.name === 'ConfigError' ? error.message : error)
  process.exit(1)
}

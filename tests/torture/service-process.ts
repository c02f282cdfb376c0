/** The service in a process of its own: URL of the database and port as arguments; tells when it listens. */
import { startService } from '@liftledger/service'
import { freePort } from '../bench/servers.ts'
import { SERVICE_SETTINGS } from './processes.ts'

const [databaseUrl, port] = process.argv.slice(2)
const service = await startService({
  environment: {
    ...SERVICE_SETTINGS,
    DATABASE_URL: databaseUrl!,
    PORT: port!,
    METRICS_PORT: String(await freePort()),
    NODE_ENV: 'development',
  },
})
process.send!('listening')
process.on('disconnect', () => void service.stop().then(() => process.exit(0)))

/** The service in a process of its own; with the invented basin and a firm's key, unless told that another has seeded it. */
import { startService } from '@liftledger/service'
import { seedBasin } from '../../seed/seed.ts'
import { freePort, SERVICE_SETTINGS } from './servers.ts'

const [databaseUrl, seeded] = process.argv.slice(2)
const service = await startService({
  environment: {
    ...SERVICE_SETTINGS,
    DATABASE_URL: databaseUrl!,
    PORT: '0',
    METRICS_PORT: String(await freePort()),
  },
})
const basin = seeded === undefined ? await seedBasin(service) : undefined
process.send!({ url: service.url, key: basin?.firms[0]?.key, adminKey: basin?.adminKey })
process.on('disconnect', () => void service.stop().then(() => process.exit(0)))

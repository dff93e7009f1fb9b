/** The job kind `import`: a file brought in beside everything else, with progress in bytes, to be canceled or taken up again. */
import { basename } from 'node:path'
import { JobFailure, type JobHandler, type Queue } from '../jobs/queue.ts'
import { StoreError } from '../store/errors.ts'
import { addImport } from '../store/imports.ts'
import { type ImportArgs, type ImportDeps, ImportRefused, importFile, importStart, sizeOf } from './import.ts'

export const IMPORT_KIND = 'import'

export const importHandler =
  (deps: ImportDeps): JobHandler<ImportArgs> =>
  async (args, { signal, canceled, progress }) => {
    try {
      return await importFile(deps, args, {
        signal,
        canceled: () => canceled() || signal.aborted,
        onProgress: (done, total, { stored, repeated }) =>
          progress(done, total, `${(stored + repeated).toLocaleString('en-US')} readings`),
      })
    } catch (error) {
      if (error instanceof ImportRefused) throw new JobFailure(error.message, { cause: error })
      if (error instanceof StoreError) throw new JobFailure(`${error.message} ${error.hint}`, { cause: error })
      throw error
    }
  }

/**
 * Puts a file in the queue. Its row in `imports` is made here, once: however often the job is taken up, it is one import.
 * @throws ImportRefused when there is no such file
 */
export async function addImportJob(
  deps: Pick<ImportDeps, 'db' | 'now'> & { queue: Pick<Queue, 'add'> },
  args: ImportArgs,
): Promise<{ importId: number; jobId: number }> {
  const start = importStart(args, args.fileName ?? basename(args.path), sizeOf(args.path), deps.now())
  const importId = await addImport(deps.db, start)
  const jobId = await deps.queue.add(IMPORT_KIND, { ...args, importId }, args.houseId ?? null)
  return { importId, jobId }
}

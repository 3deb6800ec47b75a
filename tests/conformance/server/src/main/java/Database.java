import java.nio.file.Path;

/**
 * Where the server keeps what it stores.
 *
 * @param url the JDBC address
 */
record Database(String url) {
    /** Return the database of this name: "memory", or that of a file. */
    static Database named(String name) {
        if (name.equals("memory")) {
            return new Database("jdbc:h2:mem:reports;DB_CLOSE_DELAY=-1");
        }
        // Without a delay a commit is in the file before the sender has its answer: it survives a killed process.
        return new Database("jdbc:h2:file:" + Path.of(name).toAbsolutePath() + ";WRITE_DELAY=0");
    }
}

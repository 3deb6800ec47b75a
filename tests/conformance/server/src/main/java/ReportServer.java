import ca.uhn.fhir.jpa.config.r4.JpaR4Config;
import ca.uhn.fhir.jpa.config.r5.JpaR5Config;
import ca.uhn.fhir.jpa.packages.IPackageInstallerSvc;
import ca.uhn.fhir.jpa.packages.PackageInstallOutcomeJson;
import ca.uhn.fhir.jpa.packages.PackageInstallationSpec;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.eclipse.jetty.ee10.servlet.ServletContextHandler;
import org.eclipse.jetty.ee10.servlet.ServletHolder;
import org.eclipse.jetty.server.Server;
import org.eclipse.jetty.server.ServerConnector;
import org.hl7.fhir.utilities.npm.NpmPackage;
import org.springframework.context.annotation.AnnotationConfigApplicationContext;

/**
 * A FHIR server that stores reports, on the loopback address alone.
 *
 * <p>Arguments: the release (R4 or R5), a port (0 takes a free one), the database ("memory", or a file), and any number
 * of FHIR packages to install, which fetch nothing. A line "installed ..." for each package and a line "ready URL" on
 * standard output say when it can be used; SIGTERM ends it.
 */
public final class ReportServer {
    /** Everything of the package that a server can use; the library's own choice lacks forms and capabilities. */
    private static final List<String> INSTALLED = List.of(
            "NamingSystem", "CodeSystem", "ValueSet", "ConceptMap", "StructureDefinition", "SearchParameter",
            "CapabilityStatement", "OperationDefinition", "Questionnaire");

    private ReportServer() {}

    public static void main(String[] arguments) {
        try {
            run(arguments);
        } catch (Exception | LinkageError failure) {
            failure.printStackTrace();
            // Threads of the application would keep a server alive that didn't start.
            System.exit(1);
        }
    }

    private static void run(String[] arguments) throws Exception {
        Class<?> release = switch (arguments[0]) {
            case "R4" -> JpaR4Config.class;
            case "R5" -> JpaR5Config.class;
            default -> throw new IllegalArgumentException("no such release: " + arguments[0]);
        };
        var application = new AnnotationConfigApplicationContext();
        application.registerBean(Database.class, () -> Database.named(arguments[2]));
        application.register(release, Storage.class);
        application.refresh();
        Runtime.getRuntime().addShutdownHook(new Thread(application::close));
        for (String file : List.of(arguments).subList(3, arguments.length)) {
            install(application, Path.of(file));
        }
        var web = new ServletContextHandler("/");
        var face = new ServletHolder(new RestFace(application));
        face.setInitOrder(0);
        web.addServlet(face, "/fhir/*");
        var jetty = new Server();
        var connector = new ServerConnector(jetty);
        connector.setHost("127.0.0.1");
        connector.setPort(Integer.parseInt(arguments[1]));
        jetty.addConnector(connector);
        jetty.setHandler(web);
        jetty.setStopAtShutdown(true);
        jetty.start();
        System.out.println("ready http://127.0.0.1:" + connector.getLocalPort() + "/fhir");
        jetty.join();
    }

    private static void install(AnnotationConfigApplicationContext application, Path file) throws IOException {
        byte[] content = Files.readAllBytes(file);
        NpmPackage named = NpmPackage.fromPackage(new ByteArrayInputStream(content));
        var specification = new PackageInstallationSpec()
                .setName(named.name())
                .setVersion(named.version())
                .setPackageContents(content)
                .setInstallMode(PackageInstallationSpec.InstallModeEnum.STORE_AND_INSTALL)
                .setFetchDependencies(false);
        specification.setInstallResourceTypes(INSTALLED);
        PackageInstallOutcomeJson outcome =
                application.getBean(IPackageInstallerSvc.class).install(specification);
        System.out.println("installed " + specification.getName() + " " + outcome.getResourcesInstalled());
        outcome.getMessage().forEach(System.err::println);
    }
}
